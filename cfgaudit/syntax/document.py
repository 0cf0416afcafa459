"""The document: one file, parsed without losing a byte."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, field
from typing import Literal, NamedTuple

Author = Literal["hand", "machine"]


class Span(NamedTuple):
    """A stretch of a document's text: offsets in characters, the end excluded."""

    start: int
    end: int


class Place(NamedTuple):
    """A stretch of a file for people and editors: 1-based lines and columns, the end column excluded."""

    file: str
    line: int
    column: int
    end_line: int
    end_column: int

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"


class Dialect(NamedTuple):
    """How a file is written. ``reasons`` holds one (trait, value, reason) a trait, for people."""

    comments: tuple[str, ...] = ("#", ";")
    """Marks that start a comment."""
    separator: str = "mixed"
    """``=``, ``:`` or ``mixed``."""
    header: str = "space"
    """How kind and label stand in a header: ``kind``, ``space``, ``quoted``, ``dot``, ``colon``."""
    includes: tuple[str, ...] = ()
    """The include forms met, written as in ``%include PATH``."""
    continuation: str = "none"
    """``indent``, ``backslash``, ``both`` or ``none``."""
    indented_entries: bool = False
    """Whether entries stand indented below their header."""
    machine_prefix: str | None = None
    """What begins each line of the machine-written block."""
    reasons: tuple[tuple[str, str, str], ...] = ()


class Header(NamedTuple):
    """``[name]``. ``name`` is the text between the brackets, trimmed, quotes kept."""

    span: Span
    name: str
    name_span: Span
    author: Author = "hand"


class Entry(NamedTuple):
    """``key = value`` with its continuation lines.

    ``value`` is trimmed, its lines joined by line feeds, with comments and a machine-written block's
    prefix taken out; ``value_spans`` are the pieces of the text that it was made of (one a line; a
    single empty span where there is no value).
    """

    span: Span
    key: str
    key_span: Span
    separator: str
    value: str
    value_spans: tuple[Span, ...]
    author: Author = "hand"

    @property
    def value_span(self) -> Span:
        """From the first piece of the value to the last."""
        return Span(self.value_spans[0].start, self.value_spans[-1].end)


class Include(NamedTuple):
    """A directive that includes files. ``target`` is the path, glob or folder as written, unquoted."""

    span: Span
    target: str
    target_span: Span
    form: str
    """The form as in ``Dialect.includes``."""
    folder: bool = False
    """Whether the target is a folder whose files are all meant."""
    header: Header | None = None
    """The header itself where the path stands in it."""


class Comment(NamedTuple):
    """A whole-line or inline comment. ``text`` is without its mark, trimmed."""

    span: Span
    text: str
    inline: bool = False


class Blank(NamedTuple):
    span: Span


class Unreadable(NamedTuple):
    """A line that is nothing we know. Parsing went on after it."""

    span: Span
    text: str


Node = Header | Entry | Include | Comment | Blank | Unreadable


@dataclass(frozen=True, slots=True)
class Document:
    """One file. ``text`` is the whole of it: UTF-8 decoded with ``surrogateescape``, so no byte is lost.

    ``nodes`` stand in the order of the text. Inline comments are nodes of their own, after their entry.
    """

    path: str
    text: str
    nodes: tuple[Node, ...]
    dialect: Dialect
    line_starts: tuple[int, ...] = field(repr=False, default=(0,))

    def data(self) -> bytes:
        """The bytes that the document was parsed from."""
        return self.text.encode("utf-8", "surrogateescape")

    def line_of(self, offset: int) -> int:
        """1-based line of an offset."""
        return bisect_right(self.line_starts, offset)

    def line_text(self, line: int) -> str:
        """The text of a 1-based line without its line end."""
        start = self.line_starts[line - 1]
        end = self.line_starts[line] if line < len(self.line_starts) else len(self.text)
        return self.text[start:end].rstrip("\r\n")

    def place(self, span: Span) -> Place:
        """Where a span stands. A line end at the span's end is not counted in."""
        end = max(span.start, len(self.text[span.start : span.end].rstrip("\r\n")) + span.start)
        first, last = self.line_of(span.start), self.line_of(end)
        return Place(
            self.path,
            first,
            span.start - self.line_starts[first - 1] + 1,
            last,
            end - self.line_starts[last - 1] + 1,
        )
