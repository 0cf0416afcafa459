"""Names in values to the kinds of the parts that have them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import cache

from cfgaudit.syntax.read_pin import is_chip_pin
from cfgaudit.tree.config_tree import Section
from cfgaudit.tree.names import fold_name
from cfgaudit.vocabulary.sections import SectionKind, kinds_of
from cfgaudit.vocabulary.shapes import Resolves
from cfgaudit.vocabulary.words import Words

LONGEST_NAME = 60
"""Characters; a longer text names no part."""
NO_KINDS: frozenset[str] = frozenset()
ALIAS = frozenset({"alias"})


def make_resolver(sections: Iterable[Section], kinds: Iterable[SectionKind], words: Words) -> Resolves:
    """A name, a label, a section's name, or a kind and a label in either order, to the kinds that have it."""
    known: dict[str, frozenset[str]] = {}
    for section, kind in zip(sections, kinds, strict=True):
        for key, kinds_named in _names(section, kind):
            known[key] = known.get(key, NO_KINDS) | kinds_named
    known.pop("", None)

    def resolves(text: str) -> frozenset[str]:
        found = known.get(fold_name(text))
        if found is None:
            found = NO_KINDS if is_chip_pin(text) else _by_kind_and_label(text, known, words)
        return found

    return cache(resolves)


def _names(section: Section, kind: SectionKind) -> Iterator[tuple[str, frozenset[str]]]:
    """The folded names that a section gives, each with the kinds of what has it."""
    if kind.fixed:
        yield section.key, frozenset(part.kind for part in kind.fixed)
        for part in kind.fixed:
            yield fold_name(part.name), frozenset({part.kind})
    else:
        yield section.key, kinds_of(kind.head)
        yield fold_name(kind.name), kinds_of(kind.head)
    if kind.head == "alias":
        for setting in section.settings:
            yield setting.key, ALIAS


def _by_kind_and_label(text: str, known: Mapping[str, frozenset[str]], words: Words) -> frozenset[str]:
    """``bed heater`` where a section ``heater bed``, or ``thermal bed``, is known as the heater ``bed``."""
    if len(text) > LONGEST_NAME:
        return NO_KINDS
    for word in words.lexicon.words(text):
        if word.concept in words.rank:
            kinds = known.get(fold_name(text[: word.start] + text[word.end :]), NO_KINDS)
            if word.concept in kinds:
                return frozenset({word.concept})
    return NO_KINDS
