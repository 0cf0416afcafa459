"""How a file writes its entries: the layout that an added or changed setting has to follow."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cfgaudit.syntax.document import Author, Document, Entry

DEPTH = "    "
"""Where nothing tells, a continued line stands this much deeper than its key."""


@dataclass(frozen=True, slots=True)
class Layout:
    """How entries are laid out."""

    lead: str = ""
    """What stands before the key on its line: indentation, a machine-written block's prefix."""
    before: str = " "
    separator: str = "="
    after: str = " "
    """White space before and after the separator."""
    column: int | None = None
    """Where the separator stands on its line, if entries are aligned by it."""

    def opening(self, key: str) -> str:
        """The line of a new entry as far as its value."""
        start = f"{self.lead}{key}"
        if self.column is None:
            return f"{start}{self.before}{self.separator}{self.after}"
        return f"{start.ljust(self.column)}{self.separator}{self.after}"


@dataclass(frozen=True, slots=True)
class Continuation:
    """How values of several lines are laid out."""

    depth: str = DEPTH
    """What a continued line has before it beyond what its key has."""
    below: bool = False
    """Whether the value begins on the line below its key."""
    backslash: bool = False
    """Whether every line but the last ends in a backslash."""


def line_start(document: Document, offset: int) -> int:
    """Where the line of an offset begins, a byte-order mark left out."""
    start = document.line_starts[document.line_of(offset) - 1]
    return start + 1 if start == 0 and document.text.startswith("\ufeff") else start


def line_end(document: Document, offset: int) -> int:
    """Where the line of an offset ends, its line end left out."""
    line = document.line_of(offset)
    return document.line_starts[line - 1] + len(document.line_text(line))


def newline(document: Document) -> str:
    """The line end of a document, as its first line has it."""
    return "\r\n" if document.text.partition("\n")[0].endswith("\r") and "\n" in document.text else "\n"


def after_mark(document: Document) -> int:
    """Where the text begins behind a byte-order mark."""
    return 1 if document.text.startswith("\ufeff") else 0


def blank_line(document: Document, author: Author) -> str:
    """A blank line, without its end, as that author writes it."""
    return document.dialect.machine_prefix or "" if author == "machine" else ""


def lead_of(document: Document, offset: int) -> str:
    """What stands before an offset on its line."""
    return document.text[line_start(document, offset) : offset]


def separator_at(document: Document, entry: Entry) -> int:
    """Where an entry's separator stands."""
    return document.text.index(entry.separator, entry.key_span.end)


def layout(document: Document, models: Sequence[Entry], others: Sequence[Entry]) -> Layout:
    """The layout of ``models``, the entries of one section; of ``others`` where there are none."""
    entries = models or others
    if not entries:
        return Layout(separator=":" if document.dialect.separator == ":" else "=")
    last = entries[-1]
    at = separator_at(document, last)
    return Layout(
        lead_of(document, last.key_span.start),
        document.text[last.key_span.end : at],
        last.separator,
        gap_after(document, [*others, *models]),
        _column(document, models),
    )


def gap_after(document: Document, entries: Sequence[Entry]) -> str:
    """The white space between separator and value, as the last entry with a value beside it has it."""
    for entry in reversed(entries):
        gap = document.text[separator_at(document, entry) + 1 : entry.value_span.start]
        if entry.value and "\n" not in gap:
            return gap
    return " "


def _column(document: Document, entries: Sequence[Entry]) -> int | None:
    """The column that the separators of several entries share although their keys differ in length."""
    columns = {
        separator_at(document, entry) - line_start(document, entry.key_span.start) for entry in entries
    }
    lengths = {len(entry.key) for entry in entries}
    return columns.pop() if len(columns) == 1 and len(lengths) > 1 else None


def continuation(document: Document, entries: Sequence[Entry]) -> Continuation:
    """How the last of ``entries`` with a value of several lines continues it."""
    for entry in reversed(entries):
        below = line_start(document, entry.value_span.start) > entry.key_span.start
        lines = [piece for piece in entry.value_spans[0 if below else 1 :] if piece.start < piece.end]
        if lines:
            key_lead, lead = lead_of(document, entry.key_span.start), lead_of(document, lines[-1].start)
            depth = lead[len(key_lead) :] if lead.startswith(key_lead) else DEPTH
            above = document.line_text(document.line_of(lines[-1].start) - 1)
            return Continuation(depth, below, above.endswith("\\"))
    tabs = any(lead_of(document, entry.key_span.start).endswith("\t") for entry in entries)
    return Continuation("\t" if tabs else DEPTH, False, document.dialect.continuation == "backslash")
