"""Which comment marks a file uses: a mark that opens no comment anywhere may stand in any value."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence

from cfgaudit.syntax.entry_line import comment_start
from cfgaudit.syntax.header_line import after_header
from cfgaudit.syntax.lines import Line

MARKS = ("#", ";")
NUMBER_SIGN = re.compile(r"[0-9A-Fa-f]+\b")
"""What follows a ``#`` that is a number sign or opens a colour."""


def marks_in_use(text: str, lines: Sequence[Line]) -> tuple[tuple[str, ...], str]:
    """The comment marks in use, and why. Both, if nothing tells."""
    whole = Counter(_mark(text, line) for line in lines if line.kind == "NOTE" and not line.joined)
    behind = Counter(_mark_after(text, line) for line in lines if line.kind == "HEADER")
    found, reasons = [], []
    for mark in MARKS:
        if reason := _evidence(text, lines, mark, whole[mark], behind[mark]):
            found.append(mark)
            reasons.append(reason)
    if found:
        return tuple(found), "; ".join(reasons)
    if _only_number_signs(text, lines):
        return (";",), "# stands only before numbers"
    return MARKS, "no comment tells"


def _evidence(text: str, lines: Sequence[Line], mark: str, whole: int, behind: int) -> str:
    if whole:
        return (
            f"{whole} whole-line comments begin with {mark}"
            if whole > 1
            else f"one whole line begins with {mark}"
        )
    if behind:
        return f"headers with {mark} behind them: {behind}"
    prose = _words_behind(text, lines, mark)
    return f"values with words behind {mark}: {prose}" if prose else ""


def _mark(text: str, line: Line) -> str:
    return text[line.start : line.end].lstrip()[0]


def _mark_after(text: str, line: Line) -> str:
    at = after_header(text, line.start, line.end)
    return text[at] if at < line.end else ""


def _behind(text: str, lines: Sequence[Line], mark: str) -> Iterator[str]:
    """What stands behind a mark that would be an inline comment's, one an entry that has it."""
    if mark not in text:
        return
    for line in lines:
        if line.kind == "ENTRY" and not line.joined:
            at = comment_start(text, line.start, line.end, (mark,))
            if at < line.end:
                yield text[at + 1 : line.end]


def _words_behind(text: str, lines: Sequence[Line], mark: str) -> int:
    """How many entries end in words set off by ``mark``; 0 if it also stands where it opens no words."""
    count, sentences = 0, 0
    for words in _behind(text, lines, mark):
        if mark in words or not words[:1].isspace() or not words.strip()[:1].isalpha():
            return 0
        count += 1
        sentences += len(words.split(maxsplit=2)) > 1
    return count if sentences else 0


def _only_number_signs(text: str, lines: Sequence[Line]) -> bool:
    behind = list(_behind(text, lines, "#"))
    return bool(behind) and all(NUMBER_SIGN.match(words) for words in behind)
