"""The words of the trade and what a builder adds to them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

from cfgaudit.own_toml import read_own_toml
from cfgaudit.vocabulary.names import Lexicon, Word
from cfgaudit.vocabulary.patterns import Pattern, read_pattern


@dataclass(frozen=True, slots=True)
class WordOverrides:
    """What ``cfgaudit.toml`` or a shared vocabulary file adds.

    ``words``: concept to more words. ``parts``: section name or glob to ``"heater"`` or ``"heater bed"``, or
    several of them. ``roles``: ``"setting"`` or ``"section glob:setting"`` to ``"temp.max"`` or
    ``"travel.max x"``. Names compare as everywhere, folded.
    """

    words: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    parts: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    roles: Mapping[str, str] = field(default_factory=dict)


class Words(NamedTuple):
    """``trade.toml`` with overrides, compiled."""

    lexicon: Lexicon
    patterns: tuple[Pattern, ...]
    units: Mapping[str, str]
    """Dimension to the concept that a written unit implies."""
    rank: Mapping[str, int]
    """Part kinds that a section's words can name; the lower rank wins."""
    leading: frozenset[str]
    """Kinds that win where they stand first, or last with nothing else."""
    implied: Mapping[str, str]
    """Concepts that stand for a kind where no word names a part."""
    unit_words: Mapping[str, tuple[str, str]]
    """A unit at the end of a setting's name, joined, to the concept that it implies and the unit."""
    symbols: Mapping[str, str]
    """Letters of physics to the concepts that they stand for."""
    refers: Mapping[str, tuple[str, ...]]
    """Kind to the kinds that it refers to where only a relation is said, likeliest first."""
    principal: Mapping[str, str]
    """Kind to the role of the pin that it cannot do without."""
    inference: tuple[tuple[str, frozenset[str]], ...]
    """Kinds with the roles that all show them, where a section's name does not."""
    evidence: Mapping[str, frozenset[str]]
    """Kinds that a name may only suggest, and the roles of which one must bear that out."""
    unlisted: frozenset[str]
    """Kinds of ours that are no part kind: such a section is ``other``."""
    places: frozenset[str]
    """Kinds that, beside a temperature, only say where it is measured."""
    any_sensor: frozenset[str]
    """Words for a sensor that do not say what it senses."""
    articles: frozenset[str]
    """Words that a label does not begin or end with."""
    families: Mapping[str, frozenset[str]]
    """Kind to the kinds whose roles its sections may hold too."""
    signatures: Mapping[str, Mapping[str, frozenset[str]]]
    """Head kind to further kind to the roles that show it."""
    overrides: WordOverrides

    def concepts_of(self, word: Word) -> tuple[str, ...]:
        """What a word means, if anything: a thermistor is a sensor, and one of heat."""
        if word.concept == "sensor" and word.text not in self.any_sensor:
            return (word.concept, "temp")
        return (word.concept,) if word.concept else ()


@cache
def trade() -> dict[str, Any]:
    """``trade.toml`` as it stands; parsed once."""
    return read_own_toml(Path(__file__).with_name("trade.toml"))


def concepts() -> frozenset[str]:
    """Every concept that ``[words]`` may add words to."""
    return frozenset(trade()["words"])


def load_words(overrides: WordOverrides | None = None) -> Words:
    """The trade's words, with the builder's own taking precedence."""
    table, own = trade(), overrides or WordOverrides()
    parts = table["parts"]
    return Words(
        lexicon=Lexicon(own.words, table["words"]),
        patterns=_patterns(),
        units=table["units"],
        rank={kind: place for place, kinds in enumerate(parts["rank"]) for kind in kinds},
        leading=frozenset(parts["leading"]),
        implied=parts["implied"],
        unit_words={
            "".join(spoken.split()): (concept, unit)
            for concept, units in table["unit_words"].items()
            for unit, spellings in units.items()
            for spoken in spellings
        },
        symbols=table["symbols"],
        refers={kind: tuple(others) for kind, others in table["refers"].items()},
        principal=table["principal"],
        inference=tuple((kind, frozenset(roles)) for kind, *roles in table["inference"]["order"]),
        evidence={kind: frozenset(roles) for kind, roles in table["evidence"].items()},
        unlisted=frozenset(parts["unlisted"]),
        places=frozenset(parts["places"]),
        any_sensor=frozenset(parts["any_sensor"]),
        articles=frozenset(parts["articles"]),
        families={kind: frozenset(others) for kind, others in table["families"].items()},
        signatures={
            head: {kind: frozenset(roles) for kind, roles in kinds.items()}
            for head, kinds in table["signatures"].items()
        },
        overrides=own,
    )


@cache
def _patterns() -> tuple[Pattern, ...]:
    return tuple(read_pattern(role, text) for role, texts in trade()["roles"].items() for text in texts)
