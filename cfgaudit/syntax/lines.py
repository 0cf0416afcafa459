"""Text to lines, as ``grammar/config.lark`` classifies them, and which of them continue a value."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from functools import cache
from typing import TYPE_CHECKING, NamedTuple

from cfgaudit.syntax.entry_line import comment_start
from cfgaudit.syntax.grammars import load_lexer

if TYPE_CHECKING:
    from lark import Token

TAB = 8
"""A tab leads to the next multiple of this column when indentations are compared."""

GRAMMAR_MARKS = frozenset({"#", ";"})
"""Marks behind which the grammar sees a comment."""

SILENT = frozenset({"BLANK", "NOTE"})
"""Lines that neither begin nor end a value."""


class Line(NamedTuple):
    """One line with its end; ``kind`` is the grammar's terminal.

    ``joined`` tells how the line continues the value above it: ``indent``, ``backslash``, or not (empty).
    """

    kind: str
    start: int
    end: int
    joined: str = ""


@cache
def _lexer() -> Callable[[str], Iterator[Token]]:
    """The grammar takes lines in any order, so its tokens are all that there is to know."""
    return load_lexer("config")


def scan(text: str, offset: int = 0) -> list[Line]:
    """The lines of ``text``, with ``offset`` added to their places; a byte-order mark is left out."""
    lines, start = [], offset
    for token in _lexer()(text):
        end = start + len(token)
        if token.type != "MARK":
            lines.append(Line(token.type, start, end))
        start = end
    return lines


def indentation(text: str, start: int, end: int) -> int:
    """Columns of white space before the first character of a line."""
    if not text[start].isspace():
        return 0
    line = text[start:end]
    lead = line[: len(line) - len(line.lstrip())]
    return len(lead.expandtabs(TAB)) if "\t" in lead else len(lead)


def ends_in_backslash(text: str, start: int, end: int) -> bool:
    """Whether a line ends in a backslash that no other escapes and that is no part of a comment."""
    if not text.endswith(("\\", "\\\n", "\\\r\n"), start, end):
        return False
    line = text[start:end].rstrip("\r\n")
    odd = (len(line) - len(line.rstrip("\\"))) % 2 == 1
    return odd and comment_start(text, start, end, ("#", ";")) == end


def join(
    text: str, lines: Iterable[Line], ways: frozenset[str], *, entries_join: bool = True
) -> Iterator[Line]:
    """Tell which lines continue the value above them.

    A line does if it stands deeper than the key, or if the line above ends in a backslash. ``ways`` are
    the forms of continuation that count; with ``entries_join`` off, an indented line that reads as an
    entry, header or directive is one.
    """
    key_column: int | None = None
    carried = False
    for line in lines:
        kind, start, end, _ = line
        if kind == "BLANK":
            carried = False
            yield line
            continue
        column = indentation(text, start, end)
        deeper = key_column is not None and column > key_column
        free = kind == "OTHER" or kind == "NOTE" or entries_join
        if carried and kind != "NOTE" and not (kind == "HEADER" and not deeper):
            joined = "backslash"
        elif deeper and free and "indent" in ways:
            joined = "indent"
        else:
            joined = ""
        if kind == "NOTE":
            yield line._replace(joined=joined) if joined else line
            continue
        if not joined:
            key_column = column if kind == "ENTRY" else None
        carried = "backslash" in ways and key_column is not None and ends_in_backslash(text, start, end)
        yield line._replace(joined=joined) if joined else line


def with_marks(text: str, lines: list[Line], marks: tuple[str, ...]) -> list[Line]:
    """The lines where ``marks`` begin a comment and no others do."""
    used = frozenset(marks)
    if used <= GRAMMAR_MARKS and not any(mark in text for mark in GRAMMAR_MARKS - used):
        return lines
    return [_with_marks(text, line, marks) for line in lines]


def _with_marks(text: str, line: Line, marks: tuple[str, ...]) -> Line:
    if line.kind == "BLANK":
        return line
    words = text[line.start : line.end].lstrip()
    if words.startswith(marks):
        return line._replace(kind="NOTE")
    if line.kind != "NOTE":
        return line
    return line._replace(kind="ENTRY" if "=" in words or ":" in words else "OTHER")
