"""Patches: the stretches of a text that change when a value is replaced."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from cfgaudit.syntax.document import Document, Entry, Span
from cfgaudit.syntax.writing import (
    Continuation,
    blank_line,
    continuation,
    gap_after,
    lead_of,
    line_end,
    line_start,
    newline,
    separator_at,
)


class Patch(NamedTuple):
    """A stretch of the text and what comes in its place."""

    start: int
    end: int
    text: str


def patched(text: str, patches: Sequence[Patch]) -> str:
    """The text with every patch applied; those at one place keep their order.

    Patches do not overlap, except that text put into a stretch that goes stands after it.
    """
    pieces, at = [], 0
    for patch in sorted(patches, key=lambda patch: (patch.start, patch.end)):
        pieces += [text[at : patch.start], patch.text]
        at = max(at, patch.end)
    return "".join([*pieces, text[at:]])


def value_patches(document: Document, entry: Entry, value: str, peers: Sequence[Entry]) -> list[Patch]:
    """What changes where ``entry`` gets another value; ``peers`` show how values are laid out.

    Lines that stay the same are left alone, so that the comments between them stay with them.
    """
    old, new = entry.value_spans, value.split("\n")
    style = continuation(document, [*peers, entry])
    if not value:
        return _cleared(document, entry)
    if len(old) == 1 and len(new) > 1 and style.below and not _is_below(document, entry):
        return [*_cleared(document, entry), _inserted(document, entry, old[0], new, style, is_last=True)]
    first, last = _unchanged(document, old, new)
    changed, lines = old[first : len(old) - last], new[first : len(new) - last]
    paired = min(len(changed), len(lines))
    patches = [
        _written(document, entry, piece, line, peers)
        for piece, line in zip(changed[:paired], lines[:paired], strict=True)
    ]
    anchor = old[first + paired - 1]
    if len(lines) > paired:
        patches.append(_inserted(document, entry, anchor, lines[paired:], style, is_last=not last))
    patches += [_dropped(document, piece) for piece in changed[paired:]]
    if len(changed) > paired and not last:
        patches += _freed(document, anchor)
    return patches


def _unchanged(document: Document, old: Sequence[Span], new: Sequence[str]) -> tuple[int, int]:
    """How many lines at the beginning and at the end of a value stay as they are.

    First lines that differ always count as changed into one another.
    """
    texts = [document.text[start:end] for start, end in old]
    shorter = min(len(texts), len(new))
    first = 0
    while first < shorter and texts[first] == new[first]:
        first += 1
    last, most = 0, shorter - max(first, 1)
    while last < most and texts[-1 - last] == new[-1 - last]:
        last += 1
    return first, last


def _is_below(document: Document, entry: Entry) -> bool:
    """Whether a value begins on a line below its key."""
    return line_start(document, entry.value_span.start) > entry.key_span.start


def _written(document: Document, entry: Entry, piece: Span, line: str, peers: Sequence[Entry]) -> Patch:
    """A line in another one's place."""
    start, end = line_start(document, piece.start), line_end(document, piece.start)
    if piece.start < piece.end and not line and start > entry.key_span.start:
        return Patch(start, piece.end, blank_line(document, entry.author))
    if piece.start < piece.end:
        return Patch(piece.start, piece.end, line)
    if len(entry.value_spans) == 1:
        return Patch(piece.start, piece.start, gap_after(document, peers) + line)
    lead = lead_of(document, entry.value_spans[-1].start)
    return Patch(start, end, lead + line if line else document.text[start:end])


def _inserted(
    document: Document,
    entry: Entry,
    anchor: Span,
    lines: Sequence[str],
    style: Continuation,
    *,
    is_last: bool,
) -> Patch:
    """Lines below the one that ``anchor`` stands on; ``is_last`` if no line of the value follows."""
    lead = lead_of(document, entry.key_span.start) + style.depth
    if _is_below(document, entry) or len(entry.value_spans) > 1:
        lead = lead_of(document, entry.value_spans[-1].start)
    mark = " \\" if style.backslash else ""
    rows = [lead + line if line else blank_line(document, entry.author) for line in lines]
    joint = mark + newline(document)
    text = joint.join(["", *rows]) if is_last else newline(document) + joint.join(rows) + mark
    at = line_end(document, anchor.start)
    return Patch(at, at, text)


def _cleared(document: Document, entry: Entry) -> list[Patch]:
    """Nothing left of a value but the comments on the line of its key and between its lines."""
    start, first = separator_at(document, entry) + 1, entry.value_spans[0]
    rest = list(entry.value_spans)
    patches = []
    if not _is_below(document, entry):
        patches = [Patch(start, first.end, ""), *_freed(document, first)]
        del rest[0]
    else:
        patches = _freed(document, Span(start, start))
    return [*patches, *(_dropped(document, piece) for piece in rest)]


def _dropped(document: Document, piece: Span) -> Patch:
    """No line where ``piece`` stands."""
    line = document.line_of(piece.start)
    starts = document.line_starts
    return Patch(
        line_start(document, piece.start), starts[line] if line < len(starts) else len(document.text), ""
    )


def _freed(document: Document, piece: Span) -> list[Patch]:
    """No backslash behind a piece that has become the last of its value."""
    end = line_end(document, piece.end)
    return [Patch(piece.end, end, "")] if document.text[piece.end : end].strip() == "\\" else []
