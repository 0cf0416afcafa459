"""A tree to its reading: every section's parts and every setting's role."""

from __future__ import annotations

from functools import cache

from cfgaudit.tree.config_tree import ConfigTree
from cfgaudit.tree.names import fold_name
from cfgaudit.vocabulary.decide import Judge
from cfgaudit.vocabulary.infer import outvoted_kind, settle_kind
from cfgaudit.vocabulary.read_section import read_section
from cfgaudit.vocabulary.reader import Reader
from cfgaudit.vocabulary.reading import TreeReading
from cfgaudit.vocabulary.resolver import make_resolver
from cfgaudit.vocabulary.sections import SectionKind, read_section_name
from cfgaudit.vocabulary.shapes import first_piece
from cfgaudit.vocabulary.words import Words


def read_roles(tree: ConfigTree, words: Words) -> TreeReading:
    """What every section and setting of a tree means, in the tree's order."""
    judge = Judge(words)
    kinds = _kinds(tree, judge)
    reader = Reader(judge, make_resolver(tree.sections, kinds, words))
    settled = [
        outvoted_kind(section, kind, reader.readings(section, kind), judge)
        for section, kind in zip(tree.sections, kinds, strict=True)
    ]
    if settled != kinds:  # names stand for other kinds of part now
        reader = Reader(judge, make_resolver(tree.sections, settled, words))
    pairs = zip(tree.sections, settled, strict=True)
    return TreeReading(tree, tuple(read_section(section, kind, words, reader) for section, kind in pairs))


def _kinds(tree: ConfigTree, judge: Judge) -> list[SectionKind]:
    """What the sections' names say that they are, and their settings where names do not."""
    values = cache(lambda: frozenset(fold_name(first_piece(setting.value)) for setting in tree.settings()))
    return [
        settle_kind(section, read_section_name(section, judge.words), judge, values)
        for section in tree.sections
    ]
