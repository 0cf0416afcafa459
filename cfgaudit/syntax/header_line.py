"""One header line: the name between its brackets, and the comment after them."""

from __future__ import annotations

import re

from cfgaudit.syntax.document import Author, Header, Span

CLOSE = re.compile(r"\][^\S\n]*(?=[#;\n]|\Z)")
"""The first closing bracket after which nothing but a comment stands."""


def read_header(text: str, start: int, end: int, author: Author) -> Header | None:
    """The header on a line that the grammar calls one; None if its name is empty."""
    opening = text.index("[", start, end) + 1
    closing = CLOSE.search(text, opening, end)
    inner = text[opening : closing.start()] if closing else ""
    name = inner.strip()
    if not name:
        return None
    at = opening + len(inner) - len(inner.lstrip())
    return Header(Span(start, end), name, Span(at, at + len(name)), author)


def after_header(text: str, start: int, end: int) -> int:
    """Where the comment after a header begins; ``end`` if it has none."""
    closing = CLOSE.search(text, text.index("[", start, end) + 1, end)
    return closing.end() if closing and text[closing.end() : end].strip() else end
