"""The values that settings and facts had, as text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple, TypeVar

from cfgaudit.history.change import Mark, Written
from cfgaudit.history.over_time.fact_timeline import Computed
from cfgaudit.history.over_time.tracker import Moment, Timeline
from cfgaudit.report.facts import amount_text
from cfgaudit.report.lines import (
    BLANK,
    Line,
    Piece,
    breadth,
    counted,
    cut,
    line,
    one_line,
    padded,
    visible,
    wrapped,
)

INDENT = "  "
SHORT = 24
"""Columns. A longer value stands on lines of its own."""
LONGEST = 240
"""Columns of one value; a whole macro is not repeated."""
ROOM = 24
"""Columns that a commit's summary needs beside value, date and id; in a narrower window it stands below."""
NAMED_AT_MOST = 4
"""Settings that a fact came from and marks that are named; of more only the number is."""
GONE = "(gone)"
UNCOMMITTED = "not committed yet"
CUT_OFF = (
    "The history of this clone is cut off, so what seems to be the first value may be older: "
    "git fetch --unshallow --tags brings the rest."
)

Held = TypeVar("Held", Written, Computed)


class HistoryReport(NamedTuple):
    """What ``history`` found."""

    main: str
    settings: Sequence[Timeline[Written]] = ()
    facts: Sequence[Timeline[Computed]] = ()
    cut_off: bool = False
    """Whether this clone lacks older commits."""

    @property
    def found(self) -> bool:
        return bool(self.settings or self.facts)


class _Told(NamedTuple):
    """One moment in words."""

    value: str
    when: str
    summary: str
    details: str
    style: str


def last_known(timeline: Timeline[Held]) -> Held:
    """What a timeline is of: as it is, or was last."""
    newest = timeline.moments[0]
    shown = timeline.now or newest.held or newest.before
    assert shown is not None
    return shown


def history_lines(report: HistoryReport, width: int) -> Iterator[Line]:
    """Every value, the newest first: since when, by which commit, where, and at which marks it held."""
    for setting in report.settings:
        newest, *older = setting.moments
        told = [_setting_told(newest, setting.now), *(_setting_told(one) for one in older)]
        yield from _timeline_lines(_address(last_known(setting)), told, width)
    for fact in report.facts:
        told = [_fact_told(one) for one in fact.moments]
        yield from _timeline_lines(last_known(fact).name, told, width)
    yield from _closing_lines(report, width)


def _timeline_lines(name: str, told: Sequence[_Told], width: int) -> Iterator[Line]:
    yield from wrapped(one_line(name), width, INDENT, "strong", first="")
    values = [breadth(one.value) for one in told if breadth(one.value) <= SHORT]
    column = max(values, default=0)
    for rank, one in enumerate(told):
        yield from _moment_lines(one, column, width, newest=rank == 0)
    yield BLANK


def _moment_lines(one: _Told, column: int, width: int, *, newest: bool) -> Iterator[Line]:
    """Value, date, id and summary in one row; what else there is to say below."""
    style = one.style or ("strong" if newest else "")
    if breadth(one.value) <= SHORT:
        opening = line(INDENT, Piece(padded(one.value, column), style), INDENT, one.when)
        below = 2 * len(INDENT) + column
    else:
        yield from wrapped(one.value, width, INDENT, style)
        opening, below = line(2 * INDENT, one.when), 2 * len(INDENT)
    used = sum(breadth(piece.text) for piece in opening)
    if one.summary and width - used >= ROOM:
        yield from wrapped(one.summary, width, used + len(INDENT), first=(*opening, Piece(INDENT)))
    else:
        yield opening
        if one.summary:
            yield from wrapped(one.summary, width, below)
    if one.details:
        yield from wrapped(one.details, width, below, "faint")


def _setting_told(moment: Moment[Written], now: Written | None = None) -> _Told:
    """``now`` is what holds on disk if that is this value: lines move, and so may the file."""
    held, before = moment.held, moment.before
    details = []
    if held is None:
        details.append(f"was {_value(before.value)}" if before else "")
    else:
        if before is not None and _address(before) != _address(held):
            details.append(f"called {_address(before)} before")
        details.append(_place(held, now))
        if held.author == "machine":
            details.append("written by the machine")
    value = GONE if held is None else _value(held.value)
    return _told(value, moment, [*_marks(moment.marks), *details])


def _place(held: Written, now: Written | None) -> str:
    here = (now or held).where
    told = f"{here.file}:{here.line}"
    return told if here.file == held.where.file else f"{told}, at the time in {held.where.file}"


def _fact_told(moment: Moment[Computed]) -> _Told:
    held, before = moment.held, moment.before
    details = []
    if held is None:
        details.append(f"was {amount_text(before.value, before.unit)}" if before else "")
    else:
        if before is not None and before.name != held.name:
            details.append(f"called {before.name} before")
        details.append(_sources(held.sources))
    value = GONE if held is None else visible(amount_text(held.value, held.unit))
    return _told(value, moment, [*_marks(moment.marks), *details])


def _told(value: str, moment: Moment[Written] | Moment[Computed], details: Sequence[str]) -> _Told:
    commit, style = moment.commit, "warning" if moment.commit is None else ""
    about = one_line("; ".join(one for one in details if one))
    if commit is None:
        return _Told(value, UNCOMMITTED, "", about, style)
    summary = f"{one_line(commit.summary)} ({one_line(commit.author)})"
    return _Told(value, f"{commit.date:%Y-%m-%d}  {commit.short}", summary.strip(), about, style)


def _sources(sources: Sequence[Written]) -> str:
    told = dict.fromkeys(f"{one.setting} {_value(one.value)}".rstrip() for one in sources)
    if len(told) > NAMED_AT_MOST:
        return f"from {counted(len(told), 'setting')}"
    return f"from {', '.join(told)}" if told else ""


def _marks(marks: Sequence[Mark]) -> Iterator[str]:
    if len(marks) > NAMED_AT_MOST:
        yield f"held at {len(marks)} marks, {marks[-1].name} to {marks[0].name}"
    elif marks:
        yield f"held at {', '.join(mark.name for mark in reversed(marks))}"


def _address(one: Written) -> str:
    return f"{one.section}:{one.setting}"


def _value(text: str) -> str:
    return cut(one_line(text), LONGEST) or "(empty)"


def _closing_lines(report: HistoryReport, width: int) -> Iterator[Line]:
    counts = [
        counted(number, word)
        for number, word in ((len(report.settings), "setting"), (len(report.facts), "fact"))
        if number
    ]
    values = sum(len(one.moments) for one in report.settings) + sum(len(one.moments) for one in report.facts)
    told = f"{' and '.join(counts)}, {counted(values, 'value')}"
    yield from wrapped(f"{told}, the newest first. git show ID shows all of a commit.", width, 0)
    if report.cut_off:
        yield from wrapped(CUT_OFF, width, 0)
