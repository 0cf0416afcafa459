"""What was measured of a probe, held against what it is set to."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.checks.finding import Limits, Problem, Skip, Subject
from cfgaudit.checks.limit_value import number
from cfgaudit.checks.registry import check
from cfgaudit.checks.rule import format_amount
from cfgaudit.evidence.records.record import MeasurementKind, Result
from cfgaudit.evidence.records.staleness import holding
from cfgaudit.facts.inputs import positive
from cfgaudit.machine.model import Part

ENOUGH = 5
"""Readings below which a spread is known within a factor of three or worse (common practice, no source)."""


@check("repeatability-beyond-tolerance")
def repeatability_beyond_tolerance(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A probe whose touches of one place lie further apart, as a rule, than it is told to tolerate."""
    factor = number(limits, "factor")
    for probe in subject.machine.kind("probe") if subject.evidence.records else ():
        stated = probe.get("probe.tolerance")
        tolerance = positive(stated)
        if stated is None or tolerance is None or _touches(probe) == 1:
            continue
        kind = MeasurementKind.REPEATABILITY
        record = holding(subject.evidence, subject.machine, kind, probe.title)
        deviation = record.result("standard deviation") if record is not None else None
        if record is None or deviation is None or deviation.unit != "mm" or 1 < deviation.samples < ENOUGH:
            continue
        apart = factor * deviation.value
        if apart > tolerance:
            yield Problem(
                stated.place,
                f"{probe.title} reads with {_spread(deviation)}, measured {record.date.date().isoformat()}: "
                f"its touches of one place lie up to about {_length(apart)} apart, and {_length(tolerance)} "
                "is tolerated",
                subject=probe.title,
            )


def _touches(probe: Part) -> float | None:
    """How often a place is touched: touches of one place that are one lie nowhere apart."""
    touches = probe.get("probe.samples")
    return touches.amount if touches is not None else None


def _spread(deviation: Result) -> str:
    readings = f" over {deviation.samples} readings" if deviation.samples > 1 else ""
    return f"a standard deviation of {_length(deviation.value)}{readings}"


def _length(amount: float) -> str:
    return format_amount(round(amount, 4), "mm")
