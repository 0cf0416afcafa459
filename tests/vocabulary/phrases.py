"""The phrases that invented builders choose from: an open list, and one that is held out."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

HERE = Path(__file__).parent


@dataclass(frozen=True, slots=True)
class Phrase:
    """One way to say a role. ``alone``: no word goes before it. ``unit``: clear only beside a written unit.

    ``value`` is the value that the phrase asks for; empty where the role's own value will do.
    """

    words: tuple[str, ...]
    alone: bool
    unit: bool
    value: str


PhraseSet = tuple[Phrase, ...]
"""One phrase for each role of a group: ``lowest`` and ``highest``."""


@dataclass(frozen=True, slots=True)
class Phrases:
    """``groups``: role with place to the roles it goes with, in order, and their sets of phrases."""

    groups: Mapping[str, tuple[tuple[str, ...], tuple[PhraseSet, ...]]]
    words: Mapping[str, tuple[tuple[str, ...], ...]]
    """``kind.heater``, ``label.bed`` to ways to say it."""
    none: tuple[tuple[str, str], ...]
    """Settings that have no role, with their values."""
    spaced_only: frozenset[tuple[str, ...]]


@cache
def load_phrases(*, held_out: bool) -> Phrases:
    """The open phrases, or those that are held out and nothing else."""
    table = _read("held_out_phrases.toml" if held_out else "phrases.toml")
    groups, words = {}, {}
    for key, texts in table.items():
        if key.startswith(("kind.", "label.")):
            words[key] = tuple(tuple(text.split()) for text in texts)
        elif key != "none":
            roles = tuple(key.split(" | "))
            sets = tuple(tuple(_phrase(one) for one in text.split(" / ")) for text in texts)
            place = roles[0].partition("@")[2]
            for role in roles:
                at = role if "@" in role or not place else f"{role}@{place}"
                groups[at] = (roles, sets)
    none = tuple(_pair(text) for text in table["none"])
    return Phrases(groups, words, none, _spaced_only())


@cache
def _spaced_only() -> frozenset[tuple[str, ...]]:
    return frozenset(tuple(text.split()) for text in _read("spaced_phrases.toml")["phrases"])


def _read(name: str) -> dict[str, list[str]]:
    return tomllib.loads((HERE / name).read_text(encoding="utf-8"))


def _phrase(text: str) -> Phrase:
    words, _, value = text.partition(" = ")
    bare = words.strip("^!")
    pieces = tuple(bare.replace("-", " ").split())
    return Phrase(pieces, words.startswith("^"), words.endswith("!"), value)


def _pair(text: str) -> tuple[str, str]:
    key, _, value = text.partition(": ")
    return key, value
