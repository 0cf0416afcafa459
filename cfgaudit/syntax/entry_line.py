"""One line of an entry: where its inline comment begins and where its separator stands."""

from __future__ import annotations

import re
from functools import cache

QUOTED = r""" (?<![^\s=:,(\[{]) (?: "(?:[^"\\\n]|\\.)*" | '(?:[^'\\\n]|\\.)*' ) """
"""A quotation: opened at the beginning of a word, so that an apostrophe protects nothing."""


@cache
def _marks(marks: tuple[str, ...]) -> re.Pattern[str]:
    """Quotations, which protect what is in them, and comment marks after white space."""
    choice = "|".join(re.escape(mark) for mark in sorted(marks, key=len, reverse=True)) or r"(?!)"
    return re.compile(rf"{QUOTED} | (?<=\s)(?P<mark>{choice})", re.VERBOSE)


def has_mark(text: str, start: int, end: int, marks: tuple[str, ...]) -> bool:
    """Whether any comment mark stands anywhere in a line."""
    for mark in marks:  # noqa: SIM110 - runs for every line, and a generator would double its time
        if text.find(mark, start, end) >= 0:
            return True
    return False


def comment_start(text: str, start: int, end: int, marks: tuple[str, ...]) -> int:
    """Where a line's inline comment begins; ``end`` if it has none."""
    if has_mark(text, start, end, marks):
        for match in _marks(marks).finditer(text, start, end):
            if match["mark"]:
                return match.start()
    return end


def split_entry(text: str, start: int, end: int, marks: tuple[str, ...], separator: str) -> tuple[int, int]:
    """Where an entry's separator stands (-1 without one) and where its inline comment begins.

    A ``#`` directly after the separator and glued to what follows begins a value (a colour), and then so
    does every other glued one on the line.
    """
    if not has_mark(text, start, end, marks):
        return find_separator(text, start, end, separator), end
    glued = False
    for match in _marks(marks).finditer(text, start, end):
        if not match["mark"]:
            continue
        at = match.start()
        tight = match["mark"] == "#" and bool(text[at + 1 : min(at + 2, end)].strip())
        if glued and tight:
            continue
        found = find_separator(text, start, at, separator)
        if tight and found >= 0 and not text[found + 1 : at].strip():
            glued = True
            continue
        return found, at
    return find_separator(text, start, end, separator), end


def find_separator(text: str, start: int, end: int, separator: str) -> int:
    """Where the separator stands, -1 without one. ``mixed`` takes the first of either.

    But one that is glued into a word on both sides gives way to one set off by white space.
    """
    if separator != "mixed":
        return text.find(separator, start, end)
    equals, colon = text.find("=", start, end), text.find(":", start, end)
    if equals < 0 or colon < 0:
        return max(equals, colon)
    first, second = sorted((equals, colon))
    return second if not set_off(text, first) and set_off(text, second) else first


def set_off(text: str, at: int) -> bool:
    """Whether white space, or the text's end, stands on either side of a separator."""
    return text[at - 1 : at].isspace() or not text[at + 1 : at + 2].strip()
