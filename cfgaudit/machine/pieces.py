"""Values taken apart into the pieces that may each name something."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache
from typing import NamedTuple

BETWEEN = re.compile(r"[,;\n]")
WORD = re.compile(r"[^\W_]+")
CAMEL = re.compile(r"(?<=[a-z])(?=[A-Z])|(?<=\d)(?=[A-Z][a-z])")


class Piece(NamedTuple):
    """A piece of a value: its offset there, and its text without the white space around it."""

    start: int
    text: str

    @property
    def end(self) -> int:
        return self.start + len(self.text)


def split_pieces(value: str) -> Iterator[Piece]:
    """The pieces between commas, semicolons and line ends; empty ones are left out."""
    start = 0
    for mark in (*BETWEEN.finditer(value), None):
        end = mark.start() if mark else len(value)
        text = value[start:end]
        if stripped := text.strip():
            yield Piece(start + text.index(stripped), stripped)
        start = mark.end() if mark else end


@lru_cache(maxsize=8192)
def split_words(name: str) -> tuple[str, ...]:
    """Words of a name in lower case: ``chamber-air``, ``chamberAir`` and ``Chamber air`` give two."""
    return tuple(WORD.findall(CAMEL.sub(" ", name).casefold()))
