"""A line of a configuration with a place marked below it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from cfgaudit.report.lines import ELLIPSIS, Line, Piece, breadth, cut, line, visible
from cfgaudit.syntax.document import Document, Place

RULER = "│ "
MARK = "▔"
ALSO = "·"
"""Below what else on the same line belongs to the finding."""
SPARED = 24
"""Columns of a long mark that are always shown."""
FAR = 4
"""Times the width: beyond it nothing of a line is looked at, since combining marks take no column."""


def excerpt(
    place: Place, documents: Mapping[str, Document], width: int, indent: str, also: Iterable[Place] = ()
) -> Iterator[Line]:
    """The line of a place and the mark below it; nothing where no document has the line.

    ``also`` are further places; those on the same line are marked too.
    """
    text = line_of(place, documents)
    if text is None:
        return
    room = width - breadth(indent) - len(RULER)
    start, end = _within(place, text)
    left = _left_out(text, start, end, room)
    shown = (ELLIPSIS if left else "") + visible(text[left : left + FAR * room])
    yield line(indent, Piece(RULER, "faint"), cut(shown, room))
    marks = [" "] * room
    for one in also:
        if (one.file, one.line) == (place.file, place.line):
            _mark(marks, text, left, _within(one, text), ALSO)
    _mark(marks, text, left, (start, end), MARK)
    yield line(indent, Piece(RULER, "faint"), Piece("".join(marks).rstrip(), "mark"))


def line_of(place: Place, documents: Mapping[str, Document]) -> str | None:
    """The text of the line where a place begins."""
    document = documents.get(place.file)
    if document is None or place.line > len(document.line_starts):
        return None
    return document.line_text(place.line)


def _within(place: Place, text: str) -> tuple[int, int]:
    """The place as offsets in its first line; it takes at least one character."""
    start = min(place.column - 1, len(text))
    end = place.end_column - 1 if place.end_line == place.line else len(text.rstrip())
    return start, max(start + 1, min(end, len(text)))


def _left_out(text: str, start: int, end: int, room: int) -> int:
    """How many characters at the beginning of a long line must go, so that the mark is seen."""
    marked = min(breadth(visible(text[start : min(end, start + SPARED)])), SPARED, room - 2)
    left = max(0, start - room)
    while breadth(visible(text[left:start])) + marked + (left > 0) + 1 > room and left < start:
        left += 1
    return left


def _mark(marks: list[str], text: str, left: int, span: tuple[int, int], mark: str) -> None:
    """Write marks below a span; what lies outside the shown part is left out."""
    start, end = span
    if end <= left:
        return
    before = (1 if left else 0) + breadth(visible(text[left : max(start, left)]))
    seen = min(end, left + FAR * len(marks))
    length = max(1, breadth(visible(text[max(start, left) : seen])))
    for at in range(before, min(before + length, len(marks))):
        marks[at] = mark


def pointed(place: Place, documents: Mapping[str, Document], name: str, width: int) -> str:
    """``see line 12: highest = 470 mm``, cut at the width."""
    text = line_of(place, documents)
    shown = " ".join(visible(text[: FAR * width]).split()) if text else ""
    return cut(f"see {visible(name)}: {shown}" if shown else f"see {visible(name)}", width)
