"""Lines of text with a style a piece: made here, coloured or not by whoever shows them.

No line is wider than the width that its maker was given. Widths count columns of a terminal, where a
letter of Chinese or an emoji takes two and a combining accent none.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from typing import NamedTuple

WIDTH = 80
NARROWEST = 40
"""Columns. Reports keep their layout down to here."""
ELLIPSIS = "…"
UNITS = frozenset("% Hz kHz mm µm mm/s mm/s² °C K K/s s ms h min V A mA W Ω".split())
"""What no line begins with after its number."""
ENDINGS = ".,;:)"


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


def breadth(text: str) -> int:
    """The columns that a text takes on a terminal."""
    return len(text) if text.isascii() else sum(map(_breadth_of, text))


def _breadth_of(character: str) -> int:
    if unicodedata.category(character) in ("Mn", "Me"):
        return 0
    return 2 if unicodedata.east_asian_width(character) in ("W", "F") else 1


def padded(text: str, columns: int) -> str:
    """A text with spaces behind it, so that it takes at least ``columns``."""
    return text + " " * (columns - breadth(text))


def fill(text: str, columns: int, first: int | None = None) -> Iterator[str]:
    """The words of a text in lines of at most ``columns`` (``first``: in the first line); an empty first line
    where no word goes there. A number and its unit stay together; what is longer than a line is broken."""
    room = columns if first is None else first
    shown = ""
    for word in _words(text):
        joined = f"{shown} {word}" if shown else word
        if breadth(joined) <= room:
            shown = joined
            continue
        if shown or room < columns:
            yield shown
        room = columns
        *broken, shown = _broken(word, columns)
        yield from broken
    yield shown


def _words(text: str) -> list[str]:
    words: list[str] = []
    for word in text.split():
        if words and words[-1][-1].isdigit() and word.rstrip(ENDINGS) in UNITS:
            words[-1] += f" {word}"
        else:
            words.append(word)
    return words


def _broken(word: str, columns: int) -> list[str]:
    if breadth(word) <= columns:
        return [word]
    pieces = [""]
    for character in word:
        if breadth(pieces[-1]) + _breadth_of(character) > columns:
            pieces.append("")
        pieces[-1] += character
    return pieces


def wrapped(
    text: str, width: int, indent: str | int, style: str = "", first: str | Line | None = None
) -> Iterator[Line]:
    """A paragraph as lines of at most ``width`` columns, behind ``indent`` (a text, or so many spaces).

    ``first`` stands before the first line instead; where it is too wide itself, it is broken.
    """
    indent = " " * indent if isinstance(indent, int) else indent
    start = indent if first is None else first
    *above, opening = _opening(line(start) if isinstance(start, str) else start, width)
    yield from above
    used = sum(breadth(piece.text) for piece in opening)
    for number, shown in enumerate(fill(text, max(1, width - breadth(indent)), width - used)):
        yield (*(line(indent) if number else opening), Piece(shown, style))


def _opening(first: Line, width: int) -> list[Line]:
    """What stands before a paragraph; as several lines where it is wider than one."""
    if sum(breadth(piece.text) for piece in first) <= width:
        return [first]
    whole = "".join(piece.text for piece in first)
    indent = len(whole) - len(whole.lstrip())
    style = next((piece.style for piece in first if piece.style), "")
    return [line(" " * indent, Piece(shown, style)) for shown in fill(whole, max(1, width - indent))]


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
        return f"\\x{code:02x}" if code < 256 else f"\\u{code:04x}" if code < 65536 else f"\\U{code:08x}"
    return character


def one_line(text: str) -> str:
    """A text of any number of lines as one, made visible."""
    return visible(" ".join(text.split()))


def cut(text: str, columns: int) -> str:
    """A text that takes more than ``columns``, ended by ``…``."""
    return text if breadth(text) <= columns else head(text, columns - 1).rstrip() + ELLIPSIS


def head(text: str, columns: int) -> str:
    """As much of the beginning of a text as goes into ``columns``."""
    taken = 0
    for at, character in enumerate(text):
        taken += _breadth_of(character)
        if taken > columns:
            return text[:at]
    return text


def counted(count: int, one: str, many: str = "") -> str:
    """``1 file``, ``2 files``."""
    return f"{count} {one if count == 1 else many or one + 's'}"
