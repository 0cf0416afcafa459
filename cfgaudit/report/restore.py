"""What is put back: the difference line by line, and what it comes to."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from difflib import unified_diff

from cfgaudit.checks.finding import Finding
from cfgaudit.history.restoring.conflicts import Conflicts
from cfgaudit.history.restoring.recheck import Outcome
from cfgaudit.report.cautions import CAUTIONS
from cfgaudit.report.lines import BLANK, Line, Piece, breadth, counted, head, line, one_line, visible, wrapped

NO_END = "\\ no line end"
SIGNS = {"+": "note", "-": "error", "@": "faint"}
INDENT = 2


def diff_lines(files: Mapping[str, tuple[bytes, bytes]], width: int) -> Iterator[Line]:
    """A unified difference of each file; a line that is too wide goes on below, behind its sign again."""
    for path, (before, after) in files.items():
        name = visible(path)
        yield from _broken(f"--- {name}", width, "strong", "    ")
        yield from _broken(f"+++ {name}, put back", width, "strong", "    ")
        for text in list(unified_diff(_rows(before), _rows(after), lineterm="", n=2))[2:]:
            first, *rest = text.split("\0")
            yield from _broken(visible(first), width, SIGNS.get(text[:1], ""), text[:1] if first else "")
            yield from (line(Piece(one, "faint")) for one in rest)


def _rows(data: bytes) -> list[str]:
    """The lines of a file; a last one without an end says so."""
    rows = data.decode("utf-8", "surrogateescape").split("\n")
    rows = [row.removesuffix("\r") for row in rows]
    return rows[:-1] if not rows[-1] else [*rows[:-1], f"{rows[-1]}\0{NO_END}"]


def _broken(text: str, width: int, style: str, again: str) -> Iterator[Line]:
    """A text in as many lines as it needs, every character kept: no line but the last ends in a space."""
    while breadth(text) > width:
        first = head(text, width) or text[:1]
        if len(first.rstrip()) > len(again):
            first = first.rstrip()
        yield line(Piece(first, style))
        text = again + text[len(first) :]
    yield line(Piece(text, style))


def unread_lines(paths: Iterable[str], width: int) -> Iterator[Line]:
    """Which files are left out although they are there, and what to do if that is not meant."""
    for path in paths:
        yield from wrapped(
            f"{visible(path)} is still there, but nothing includes it now, so what it said goes elsewhere. "
            "An include directive is no setting: to have the file read again, write its directive and "
            "restore anew.",
            width,
            0,
        )


def outcome_lines(
    outcome: Outcome, since: str, files: Sequence[str], conflicts: Conflicts, width: int
) -> Iterator[Line]:
    """What became of it: findings that went and came, and what is still changed."""
    yield from wrapped(f"Put back in {_listed(files)}, as at {visible(since)}.", width, 0)
    yield from wrapped(_findings(outcome), width, 0)
    for one in outcome.new:
        yield from _finding(one, width)
    left = counted(len(outcome.remaining), "change")
    remain = "remains" if len(outcome.remaining) == 1 else "remain"
    said = f"{left} since {visible(since)} {remain}."
    if not outcome.remaining:
        said = f"No setting differs from {visible(since)} any more."
    yield from wrapped(said, width, 0)
    if conflicts.stale:
        yield from wrapped(
            f"{_listed(conflicts.stale)}: what is undone here is staged still; git add it again before the "
            "next commit.",
            width,
            0,
        )
    if any(one.severity == "danger" for one in outcome.new):
        yield BLANK
        yield from wrapped(CAUTIONS, width, 0)


def _findings(outcome: Outcome) -> str:
    """How many went and came."""
    if not outcome.gone and not outcome.new:
        return "The findings are the same."
    went = f"{counted(len(outcome.gone), 'finding')} gone" if outcome.gone else "No finding gone"
    return f"{went}, {len(outcome.new)} new." if outcome.new else f"{went}, none new."


def _finding(one: Finding, width: int) -> Iterator[Line]:
    place = f"{one.where.file}:{one.where.line}"
    said = f"{one.severity}: {one_line(one.message)} ({visible(place)}, {one.rule})"
    yield from wrapped(said, width, INDENT)


def _listed(files: Iterable[str]) -> str:
    *first, last = [visible(one) for one in files]
    return f"{', '.join(first)} and {last}" if first else last
