"""Lines of text with a style a piece: made here, coloured or not by whoever shows them."""

from __future__ import annotations

import textwrap
import unicodedata
from collections.abc import Iterable, Iterator
from typing import NamedTuple

WIDTH = 80


class Piece(NamedTuple):
    """A stretch of a line.

    ``style`` is a word of ours: a severity, ``strong``, ``faint``, ``mark``, or empty.
    """

    text: str
    style: str = ""


Line = tuple[Piece, ...]
BLANK: Line = ()


def line(*pieces: str | Piece) -> Line:
    """A line of pieces; plain strings have no style."""
    return tuple(piece if isinstance(piece, Piece) else Piece(piece) for piece in pieces)


def plain(text: Line) -> str:
    """A line as it is read without colours."""
    return "".join(piece.text for piece in text).rstrip()


def wrapped(text: str, width: int, indent: str, style: str = "", first: str | None = None) -> Iterator[Line]:
    """A paragraph as lines of at most ``width`` columns, behind ``indent`` (the first behind ``first``)."""
    room = max(20, width - len(indent))
    pieces = textwrap.wrap(" ".join(text.split()), room, break_long_words=False, break_on_hyphens=False)
    for number, piece in enumerate(pieces or [""]):
        yield line(first if first is not None and number == 0 else indent, Piece(piece, style))


def visible(text: str) -> str:
    """A text with everything that a terminal would act on, and bytes that are no UTF-8, written out."""
    if text.isascii() and text.isprintable():
        return text
    return "".join(_visible_character(character) for character in text)


def _visible_character(character: str) -> str:
    if "\udc80" <= character <= "\udcff":
        return f"\\x{ord(character) - 0xDC00:02x}"
    if character == "\t":
        return " "
    if unicodedata.category(character) in ("Cc", "Cf", "Cs", "Zl", "Zp"):
        code = ord(character)
        return f"\\x{code:02x}" if code < 256 else f"\\u{code:04x}"
    return character


def columns(rows: Iterable[tuple[str, ...]], width: int, *, gap: str = "  ") -> list[str]:
    """Rows set in columns; the last column takes what is left and is cut there with ``…``."""
    table = [tuple(visible(cell) for cell in row) for row in rows]
    if not table:
        return []
    sizes = [max(len(row[at]) for row in table) for at in range(len(table[0]))]
    lines = (
        gap.join(cell.ljust(size) for cell, size in zip(row, sizes, strict=True)).rstrip() for row in table
    )
    return [cut(text, width) for text in lines]


def cut(text: str, width: int) -> str:
    """A text that is longer than ``width``, ended by ``…``."""
    return text if len(text) <= width else text[: max(1, width - 1)].rstrip() + "…"


def counted(count: int, one: str, many: str = "") -> str:
    """``1 file``, ``2 files``."""
    return f"{count} {one if count == 1 else many or one + 's'}"
