"""Patterns: which concepts in a setting's name say which role. They are written in ``trade.toml``."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import NamedTuple

TOKEN = re.compile(r"\(([\w]+)\)|([\w|]+)")


class Pattern(NamedTuple):
    """``needed`` holds alternatives: each must be met by a concept of the name; ``may`` may be there too.

    ``kinds`` are the part kinds whose sections it counts in; empty where it counts in any.
    """

    role: str
    needed: tuple[frozenset[str], ...]
    may: frozenset[str]
    kinds: frozenset[str]

    @property
    def known(self) -> frozenset[str]:
        return self.may.union(*self.needed)


def read_pattern(role: str, text: str) -> Pattern:
    """``"fan,guard: heater|sensor (watch)"`` as a Pattern."""
    kinds, colon, rest = text.rpartition(":")
    needed, may = [], set()
    for match in TOKEN.finditer(rest):
        if match.group(1):
            may.add(match.group(1))
        else:
            needed.append(frozenset(match.group(2).split("|")))
    named = frozenset(kind.strip() for kind in kinds.split(",")) if colon else frozenset()
    return Pattern(role, tuple(needed), frozenset(may), named)


def matched(pattern: Pattern, concepts: frozenset[str]) -> bool:
    """Whether every needed alternative is met, each by a concept of its own."""
    return _assign(pattern.needed, concepts)


def _assign(needed: tuple[frozenset[str], ...], concepts: Iterable[str]) -> bool:
    if not needed:
        return True
    free = frozenset(concepts)
    return any(_assign(needed[1:], free - {concept}) for concept in needed[0] & free)
