"""One header line: the name between its brackets, and the comment after them."""

from __future__ import annotations

import re

from cfgaudit.syntax.document import Author, Header, Span

CLOSE = re.compile(r"\][^\S\n]*(?=[#;\n]|\Z)")
"""The first closing bracket after which nothing but a comment stands."""


def read_header(text: str, start: int, end: int, author: Author) -> tuple[Header, int] | None:
    """The header on a line, and where the comment after it begins (``end`` if none); None without a name."""
    opening = text.index("[", start, end)
    close = CLOSE.search(text, opening, end)
    if close is None:
        return None
    inner = text[opening + 1 : close.start()]
    name = inner.strip()
    if not name:
        return None
    at = close.start() - len(inner.lstrip())
    after = close.end() if text[close.end() : min(close.end() + 1, end)] in ("#", ";") else end
    return Header(Span(start, end), name, Span(at, at + len(name)), author), after
