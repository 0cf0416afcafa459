"""Which comment marks a file uses: a mark that opens no comment anywhere may stand in any value."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

from cfgaudit.syntax.entry_line import comment_start
from cfgaudit.syntax.header_line import after_header
from cfgaudit.syntax.lines import Line

MARKS = ("#", ";")
NUMBER_SIGN = re.compile(r"[0-9A-Fa-f]+\b")
"""What follows a ``#`` that is a number sign or opens a colour."""


class Evidence(NamedTuple):
    """What lines say of one mark, as counts: that of several stretches of a text is their sum."""

    whole: int = 0
    """Whole lines that begin with it."""
    behind: int = 0
    """Headers with it behind them."""
    inline: int = 0
    """Entries with it where an inline comment would begin."""
    worded: int = 0
    """Of these the ones that end in words set off by it, and by no other of its kind."""
    sentences: int = 0
    """Of these the ones that end in several words."""
    signs: int = 0
    """Of the inline ones those before a number."""

    @property
    def words(self) -> int:
        """How many entries end in words set off by it; 0 if it also stands where it opens no words."""
        return self.worded if self.sentences and self.worded == self.inline else 0


def marks_in_use(text: str, lines: Sequence[Line]) -> tuple[tuple[str, ...], str]:
    """The comment marks in use, and why. Both, if nothing tells."""
    found = {mark: openings(text, lines, mark) for mark in MARKS}
    for mark, evidence in found.items():
        if not (evidence.whole or evidence.behind):  # the rest is seldom needed, and takes longer to find
            found[mark] = inlines(text, lines, mark)
    return marks_told(found)


def marks_told(found: Mapping[str, Evidence]) -> tuple[tuple[str, ...], str]:
    """As `marks_in_use`, from what the whole text says of each mark."""
    reasons = {mark: reason for mark, evidence in found.items() if (reason := _reason(mark, evidence))}
    if reasons:
        return tuple(reasons), "; ".join(reasons.values())
    number_sign = found["#"]
    if number_sign.inline and number_sign.signs == number_sign.inline:
        return (";",), "# stands only before numbers"
    return MARKS, "no comment tells"


def together(evidence: Iterable[Evidence]) -> Evidence:
    """What several stretches of a text say."""
    return Evidence(*map(sum, zip(*evidence, strict=True)))


def openings(text: str, lines: Sequence[Line], mark: str) -> Evidence:
    """The whole lines and the headers that tell of a mark."""
    if mark not in text:
        return Evidence()
    whole = sum(line.kind == "NOTE" and not line.joined and _mark(text, line) == mark for line in lines)
    behind = sum(line.kind == "HEADER" and _mark_after(text, line) == mark for line in lines)
    return Evidence(whole, behind)


def inlines(text: str, lines: Sequence[Line], mark: str) -> Evidence:
    """The entries that tell of a mark."""
    inline = worded = sentences = signs = 0
    for words in _behind(text, lines, mark):
        inline += 1
        signs += NUMBER_SIGN.match(words) is not None
        if mark not in words and words[:1].isspace() and words.strip()[:1].isalpha():
            worded += 1
            sentences += len(words.split(maxsplit=2)) > 1
    return Evidence(0, 0, inline, worded, sentences, signs)


def _reason(mark: str, evidence: Evidence) -> str:
    whole, behind, words = evidence.whole, evidence.behind, evidence.words
    if whole:
        return (
            f"{whole} whole-line comments begin with {mark}"
            if whole > 1
            else f"one whole line begins with {mark}"
        )
    if behind:
        return f"headers with {mark} behind them: {behind}"
    return f"values with words behind {mark}: {words}" if words else ""


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
