"""Hours of wear as text and JSON."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from cfgaudit.evidence.records.hours import PartHours, hours_text, limit_of
from cfgaudit.evidence.records.record import HOURS, Record
from cfgaudit.history.change import Mark
from cfgaudit.report.json_form import Json
from cfgaudit.report.lines import BLANK, Line, Piece, line, one_line, wrapped
from cfgaudit.tree.names import fold_name

AtMarks = Sequence[tuple[Mark, Iterable[PartHours]]]
EMPTY = "No hours are kept yet: cfgaudit measure hours belts 312 keeps the first."


def hours_lines(
    now: Sequence[PartHours], then: AtMarks, limits: Mapping[str, float], width: int
) -> Iterator[Line]:
    """A paragraph a part: now, its limit, and at each mark; then the limits of what has no hours yet."""
    if not now:
        yield from wrapped(EMPTY, width, 0)
    for number, one in enumerate(now):
        if number:
            yield BLANK
        yield from _part_lines(one, then, limit_of(one.part, limits), width)
    kept = {fold_name(one.part) for one in now}
    unkept = [
        f"{name} ({hours_text(limit)})" for name, limit in limits.items() if fold_name(name) not in kept
    ]
    if unkept:
        yield BLANK
        yield from wrapped(one_line(f"With a limit, but without hours: {', '.join(unkept)}."), width, 0)


def _part_lines(one: PartHours, then: AtMarks, limit: float | None, width: int) -> Iterator[Line]:
    told = _amount(one.hours, limit)
    if one.since is not None:
        told += f", replaced on {one.since.date().isoformat()}"
    told += f" (recorded {one.record.date.date().isoformat()})"
    yield from wrapped(one_line(told), width, 4, first=line(Piece(one_line(one.part), "strong"), "  "))
    for mark, hours in then:
        at = next((other for other in hours if fold_name(other.part) == fold_name(one.part)), None)
        if at is not None:
            named = f"{mark.name}, {mark.title}" if mark.note else mark.name
            yield from wrapped(one_line(f"{hours_text(at.hours)} at {named}"), width, 6, first="    ")


def hours_told(record: Record, limits: Mapping[str, float]) -> str:
    """``belts: 312 h of 500 h``."""
    result = record.result(HOURS)
    run = 0.0 if result is None else result.value
    if record.replaced:
        return f"{record.part}: replaced after {hours_text(run)}, counting starts again at 0."
    return f"{record.part}: {_amount(run, limit_of(record.part, limits))}."


def _amount(hours: float, limit: float | None) -> str:
    if limit is None:
        return f"{hours_text(hours)}, no limit is set"
    return f"{hours_text(hours)} of {hours_text(limit)}" + (": beyond its limit" if hours > limit else "")


def hours_form(now: Sequence[PartHours], then: AtMarks, limits: Mapping[str, float]) -> Json:
    """The report of ``hours``."""
    return {
        "parts": [{**_form(one), "limit": limit_of(one.part, limits)} for one in now],
        "marks": [{"mark": mark.name, "parts": [_form(one) for one in hours]} for mark, hours in then],
    }


def _form(one: PartHours) -> Mapping[str, Any]:
    return {
        "part": one.part,
        "hours": one.hours,
        "replaced": one.since.isoformat() if one.since else None,
        "recorded": one.record.date.isoformat(),
        "record": one.record.file,
    }
