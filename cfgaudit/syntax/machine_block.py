"""The block that a machine writes into its own configuration, behind a comment mark and more.

Such a block is a run of lines that begin with one prefix, a comment mark with further punctuation, and
that read as sections and entries without it. A comment mark that is merely repeated is commented-out text.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from cfgaudit.syntax.dialect import GIVEN, Traits, counted
from cfgaudit.syntax.lines import Line, scan

PREFIXED_HEADER = re.compile(r"(?P<prefix>[#;][^\w\s\[]+)[^\S\n]*\[[^\n]*\][^\S\n]*(?:\n|\Z)")
CANDIDATES = 3
"""How many prefixes are tried, the one before most headers first."""


class Block(NamedTuple):
    """All machine-written runs of a file: ``text`` is the file's with the prefix blanked out in them.

    ``runs`` maps the index of a run's first line in the file to its lines, read without the prefix.
    """

    prefix: str
    text: str
    runs: dict[int, list[Line]]
    reason: str


def find_block(text: str, lines: Sequence[Line], traits: Traits) -> Block | None:
    """The machine-written block, if the file has one."""
    if traits.machine_prefix is not None:
        return _read(text, lines, traits.machine_prefix) if traits.machine_prefix else None
    for prefix in _candidates(text, lines):
        if block := _read(text, lines, prefix):
            return block
    return None


def why_none(traits: Traits) -> str:
    """The reason to give where there is no block."""
    return "no block of settings behind a comment mark" if traits.machine_prefix is None else GIVEN


def _candidates(text: str, lines: Sequence[Line]) -> list[str]:
    seen = Counter[str]()
    for line in lines:
        if line.kind == "NOTE" and (match := PREFIXED_HEADER.match(text, line.start, line.end)):
            seen[match["prefix"]] += 1
    return [prefix for prefix, _ in seen.most_common() if prefix.strip("#;")][:CANDIDATES]


def _read(text: str, lines: Sequence[Line], prefix: str) -> Block | None:
    """The block behind ``prefix``; None if no run of its lines holds a section with an entry."""
    pieces, at, runs, tally = list[str](), 0, dict[int, list[Line]](), Counter[str]()
    for first, after in _runs(text, lines, prefix):
        clear = _blanked(text, lines[first:after], prefix)
        inner = _settled(scan(clear, lines[first].start))
        kinds = Counter(line.kind for line in inner)
        if kinds["HEADER"] and kinds["ENTRY"] and kinds["OTHER"] <= kinds["HEADER"] + kinds["ENTRY"]:
            runs[first] = inner
            pieces += [text[at : lines[first].start], clear]
            at = lines[after - 1].end
            tally.update(kinds)
    if not runs:
        return None
    sections, entries = counted(tally["HEADER"], "section"), counted(tally["ENTRY"], "entry", "entries")
    clear = "".join([*pieces, text[at:]])
    return Block(prefix, clear, runs, f"behind it stand {sections} with {entries}")


def _runs(text: str, lines: Sequence[Line], prefix: str) -> Iterator[tuple[int, int]]:
    """First line and line after the last of each run; blank lines may stand inside one."""
    first, last = -1, -1
    for index, line in enumerate(lines):
        if text.startswith(prefix, line.start, line.end):
            first, last = (index if first < 0 else first), index
        elif first >= 0 and line.kind != "BLANK":
            yield first, last + 1
            first = -1
    if first >= 0:
        yield first, last + 1


def _blanked(text: str, lines: Sequence[Line], prefix: str) -> str:
    """The text of a run with spaces in place of the prefix, so that every offset stays."""
    blank = " " * len(prefix)
    return "".join(
        blank + text[line.start + len(prefix) : line.end]
        if text.startswith(prefix, line.start, line.end)
        else text[line.start : line.end]
        for line in lines
    )


def _settled(lines: list[Line]) -> list[Line]:
    """What stands before the first header is a banner, and includes are not for machines: notes, both."""
    opened = False
    settled = []
    for line in lines:
        opened = opened or line.kind == "HEADER"
        banner = not opened and line.kind in ("ENTRY", "OTHER")
        settled.append(line._replace(kind="NOTE") if banner or line.kind == "DIRECTIVE" else line)
    return settled
