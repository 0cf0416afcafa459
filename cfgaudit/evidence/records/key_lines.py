"""On which line of a TOML text a key stands, as far as the lines alone tell it."""

from __future__ import annotations

import re
from collections.abc import Sequence

HEADER = re.compile(r"\s*\[")


def line_of(text: str, table: str, index: int | None = None, key: str = "") -> int:
    """The line of a key, or of a table's ``index``-th entry (from 0) and a key in it; 1 where none is found.

    The entries of a table may be ``[[table]]`` sections, or stand one a line in ``table = [``.
    """
    lines = text.split("\n")
    if index is None:
        return next((number for number, line in enumerate(lines, 1) if _sets(table, line)), 1)
    sections = [number for number, line in enumerate(lines, 1) if _opens(table, line)]
    if index < len(sections):
        return _below(lines, sections[index], key)
    start = line_of(text, table)
    braces = [number for number, line in enumerate(lines[start - 1 :], start) for _ in range(line.count("{"))]
    return braces[index] if index < len(braces) else start


def _below(lines: Sequence[str], header: int, key: str) -> int:
    """The line of a key in the section whose header is on a line; that line where it has none."""
    for number, line in enumerate(lines[header:], header + 1):
        if HEADER.match(line):
            break
        if key and _sets(key, line):
            return number
    return header


def _sets(key: str, line: str) -> bool:
    return re.match(rf"\s*[\"']?{re.escape(key)}[\"']?\s*(?:=|\.)", line) is not None


def _opens(table: str, line: str) -> bool:
    return re.match(rf"\s*\[\[\s*{re.escape(table)}\s*\]\]", line) is not None
