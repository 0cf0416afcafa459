"""A tree to its reading: every section's parts and every setting's role."""

from __future__ import annotations

from functools import cache

from cfgaudit.tree.config_tree import ConfigTree
from cfgaudit.tree.names import fold_name
from cfgaudit.vocabulary.decide import Judge
from cfgaudit.vocabulary.infer import settle_kind
from cfgaudit.vocabulary.read_section import read_section
from cfgaudit.vocabulary.reader import Reader
from cfgaudit.vocabulary.reading import TreeReading
from cfgaudit.vocabulary.resolver import make_resolver
from cfgaudit.vocabulary.sections import read_section_name
from cfgaudit.vocabulary.shapes import first_piece
from cfgaudit.vocabulary.words import Words


def read_roles(tree: ConfigTree, words: Words) -> TreeReading:
    """What every section and setting of a tree means, in the tree's order."""
    judge = Judge(words)
    named = (read_section_name(section, words) for section in tree.sections)
    values = cache(lambda: frozenset(fold_name(first_piece(setting.value)) for setting in tree.settings()))
    kinds = [
        settle_kind(section, kind, judge, values) for section, kind in zip(tree.sections, named, strict=True)
    ]
    reader = Reader(judge, make_resolver(tree.sections, kinds, words))
    return TreeReading(
        tree,
        tuple(
            read_section(section, kind, judge, reader)
            for section, kind in zip(tree.sections, kinds, strict=True)
        ),
    )
