"""Probes that stand where no probe stands."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.checks.finding import Limits, Problem, Severity, Skip, Subject
from cfgaudit.checks.limit_value import number
from cfgaudit.checks.registry import check
from cfgaudit.checks.rule import format_amount
from cfgaudit.checks.touching import Shift, probe_shifts
from cfgaudit.checks.travel import Bounds, travel_bounds
from cfgaudit.machine.model import Part


@check("probe-offset-implausible")
def probe_offset_implausible(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A probe so far from the nozzle that the figure can only be a slip.

    An offset as long as the axis's whole travel is an error: at no point of the bed can both stand.
    """
    bounds = travel_bounds(subject.machine)
    for probe in subject.machine.kind("probe"):
        for letter, shift in probe_shifts(probe).items():
            limit = number(limits, "height" if letter == "z" else "sideways")
            span = None if letter == "z" else _span(bounds.get(letter))
            if span is not None and abs(shift.amount) >= span:
                yield from _problem(probe, letter, shift, f"as far as {letter} travels at all", None)
            elif abs(shift.amount) > limit:
                usual = f"more than the {format_amount(limit, 'mm')} that any probe needs"
                yield from _problem(probe, letter, shift, usual, Severity.WARNING)


def _span(bounds: Bounds | None) -> float | None:
    if bounds is None or bounds.low is None or bounds.high is None:
        return None
    low, high = bounds.low.amount, bounds.high.amount
    return high - low if low is not None and high is not None and high > low else None


def _problem(
    probe: Part, letter: str, shift: Shift, why: str, severity: Severity | None
) -> Iterator[Problem]:
    if shift.meaning is not None:
        distance = format_amount(abs(shift.amount), "mm")
        where = "above or below" if letter == "z" else "beside"
        yield Problem(
            shift.meaning.place,
            f"{probe.title} stands {distance} {where} the nozzle along {letter}, {why}",
            subject=f"{probe.title} {letter}",
            severity=severity,
        )
