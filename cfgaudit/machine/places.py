"""Where a piece of a setting's value stands in its file."""

from __future__ import annotations

from cfgaudit.syntax.document import Place, Span
from cfgaudit.tree.config_tree import Setting


def place_of_piece(setting: Setting, start: int, end: int) -> Place:
    """Place of ``value[start:end]`` of a setting, as far as its first line goes; offsets in characters.

    The whole value's place where the piece cannot be told apart (the text was changed while reading).
    """
    occurrence = setting.effective
    value, entry, document = occurrence.value, occurrence.entry, occurrence.document
    line = value.count("\n", 0, start)
    line_start = value.rfind("\n", 0, start) + 1
    line_end = value.find("\n", start)
    line_end = len(value) if line_end < 0 else line_end
    if line >= len(entry.value_spans):
        return setting.place
    offset = entry.value_spans[line].start + start - line_start
    length = min(end, line_end) - start
    if document.text[offset : offset + length] != value[start : start + length]:
        return setting.place
    return document.place(Span(offset, offset + length))


def find_piece(value: str, piece: str, after: int = 0) -> int | None:
    """Offset of a piece that stands between separators (``5`` in ``15, 5`` is the last); None if missing."""
    start = value.find(piece, after) if piece else -1
    while start >= 0:
        end = start + len(piece)
        before_ok = start == 0 or not (value[start - 1].isalnum() and piece[0].isalnum())
        after_ok = end == len(value) or not (value[end].isalnum() and piece[-1].isalnum())
        if before_ok and after_ok:
            return start
        start = value.find(piece, start + 1)
    return None
