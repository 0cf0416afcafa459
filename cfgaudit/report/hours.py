"""Hours of wear as text and JSON."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from cfgaudit.evidence.hours import PartHours
from cfgaudit.history.change import Mark
from cfgaudit.report.json_form import Json
from cfgaudit.report.lines import BLANK, Line, Piece, line, one_line, wrapped
from cfgaudit.tree.names import fold_name

AtMarks = Sequence[tuple[Mark, Iterable[PartHours]]]
EMPTY = "No hours are kept yet: cfgaudit measure hours belts 312 keeps the first."


def hours_lines(
    now: Sequence[PartHours], then: AtMarks, limits: Mapping[str, float], width: int
) -> Iterator[Line]:
    """A paragraph a part: now, its limit, and at each mark."""
    if not now:
        yield from wrapped(EMPTY, width, 0)
    for number, one in enumerate(now):
        if number:
            yield BLANK
        limit = limit_of(one.part, limits)
        head = Piece(one_line(one.part), "strong")
        told = f"{one.hours:g} h" + (f" of {limit:g} h" if limit is not None else ", no limit is set")
        if limit is not None and one.hours > limit:
            told += ": beyond its limit"
        since = f", replaced on {one.since.date().isoformat()}" if one.since else ""
        recorded = f" (recorded {one.record.date.date().isoformat()})"
        yield from wrapped(one_line(told + since + recorded), width, 4, first=line(head, "  "))
        for mark, hours in then:
            at = next((other for other in hours if fold_name(other.part) == fold_name(one.part)), None)
            if at is not None:
                yield from wrapped(
                    one_line(f"{at.hours:g} h at {mark.name}, {mark.note}"), width, 6, first="    "
                )


def limit_of(part: str, limits: Mapping[str, float]) -> float | None:
    """The builder's limit for a part, however its name is spelled."""
    return next((limit for name, limit in limits.items() if fold_name(name) == fold_name(part)), None)


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
