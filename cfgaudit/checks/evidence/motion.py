"""What was measured of an axis, held against the shaper and the acceleration that it is set to."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from cfgaudit.checks.finding import Limits, Problem, Skip, Subject
from cfgaudit.checks.limit_value import number
from cfgaudit.checks.registry import check
from cfgaudit.checks.rule import format_amount
from cfgaudit.evidence.records.record import MeasurementKind, Record
from cfgaudit.evidence.records.staleness import holding
from cfgaudit.facts.axis_limits import limit_of
from cfgaudit.facts.inputs import positive
from cfgaudit.facts.shapers import AxisShaper, shaper_of
from cfgaudit.machine.model import Axis
from cfgaudit.physics.shapers import impulses
from cfgaudit.physics.shaping import acceleration_ceiling, residual_vibration, spread

STEP = 0.005
"""The share by which a shaper is moved up at a time to see how far it may be."""
RINGS = (1.0, 1000.0)
"""Hz between which a machine can ring at all: what is outside was no measurement."""
FARTHEST = 4.0
"""Times the measured frequency up to which it is moved."""


class Ringing(NamedTuple):
    """A shaped axis, and what was measured of it and still holds."""

    axis: Axis
    shaper: AxisShaper
    frequency: float
    """Hz, measured."""
    damping: float | None
    """The measured ratio; None where the record has none."""
    date: str

    @property
    def name(self) -> str:
        return f"axis {self.axis.letter}"

    @property
    def told(self) -> str:
        """``44.1 Hz, measured 2026-11-10``."""
        return f"{_hertz(self.frequency)}, measured {self.date}"

    def leaves(self, frequency: float, damping: float) -> float:
        """The share of the measured vibration, 0 to 1, that a shaper of this kind leaves."""
        shaper = impulses(self.shaper.kind, frequency, damping)
        ratio = self.shaper.damping if self.damping is None else self.damping
        return residual_vibration(shaper, self.frequency, ratio)

    @property
    def set_to(self) -> float:
        """The shaper's damping ratio; where none is written the measured one: nothing shows another."""
        if self.shaper.damping_is_written or self.damping is None:
            return self.shaper.damping
        return self.damping

    @property
    def left(self) -> float:
        """The share that the shaper as it is set leaves."""
        return self.leaves(self.shaper.frequency, self.set_to)


@check("shaper-off-resonance")
def shaper_off_resonance(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A shaper that leaves more of the measured vibration than its budget."""
    budget = number(limits, "leaves")
    for one in _ringing(subject):
        if 100.0 * one.left > budget:
            _, frequency, *_ = one.shaper.origin
            yield Problem(
                frequency.place,
                f"{one.name} rings at {one.told}; {one.shaper.kind} at {_hertz(one.shaper.frequency)} leaves "
                f"{_percent(one.left)} at that frequency, {format_amount(budget, '%')} is the budget",
                subject=one.name,
                advice=_better(one, budget),
            )


def _better(one: Ringing, budget: float) -> str | None:
    """Which frequency to set; with it the damping where the frequency alone does not do."""
    if 100.0 * one.leaves(one.frequency, one.set_to) <= budget:
        return f"Set the shaper of {one.axis.letter} to {_hertz(one.frequency)}, where the axis rings."
    if one.damping is not None and 100.0 * one.leaves(one.frequency, one.damping) <= budget:
        return (
            f"Set the shaper of {one.axis.letter} to {_hertz(one.frequency)} and its damping to "
            f"{format_amount(round(one.damping, 3))}, as the axis rings."
        )
    return None


@check("accel-beyond-measured")
def accel_beyond_measured(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """An acceleration that suits the shaper only where it stands now, and it cannot stay there.

    Silent where the shaper damps what was measured (then it may stay), and where the acceleration is beyond
    what it allows even now (accel-beyond-shaper says so).
    """
    budget, leaves = number(limits, "rounding_budget"), number(limits, "leaves")
    for one in _ringing(subject):
        limit = limit_of(one.axis, "accel.max")
        acceleration = positive(limit)
        if limit is None or acceleration is None or 100.0 * one.left <= leaves:
            continue
        now = acceleration_ceiling(
            spread(impulses(one.shaper.kind, one.shaper.frequency, one.set_to)), budget
        )
        able = _most(one, budget, leaves)
        if able is not None and able < acceleration <= now:
            yield Problem(
                limit.place,
                f"{one.name} may accelerate with {_accel(acceleration)}, but it rings at {one.told}; "
                f"{one.shaper.kind} damps that to {format_amount(leaves, '%')} and rounds a reversal by at "
                f"most {format_amount(budget, 'mm')} only up to {_accel(able)}",
                subject=one.name,
                related=(one.shaper.origin[1].place,),
            )


def _most(one: Ringing, budget: float, leaves: float) -> float | None:
    """What a shaper of this kind allows, in mm/s², at the highest frequency where it still damps the axis.

    None where it does not even where the axis rings. Who puts it right sets the measured damping as well, and
    less is never allowed than the ceiling that `measure resonance` keeps.
    """
    found, damping = None, one.set_to if one.damping is None else one.damping
    for step in range(int((FARTHEST - 1.0) / STEP)):
        frequency = one.frequency * (1.0 + step * STEP)
        if 100.0 * one.leaves(frequency, damping) > leaves:
            break
        found = frequency
    if found is None:
        return None
    return acceleration_ceiling(spread(impulses(one.shaper.kind, found, damping)), budget)


@check("damping-off-measured")
def damping_off_measured(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A damping ratio that is stated and far from the measured one. Zero asks for none."""
    factor = number(limits, "factor")
    for one in _ringing(subject):
        stated = one.shaper.origin[2:]
        if not stated or not one.shaper.damping or not one.damping:
            continue
        if max(one.damping / one.shaper.damping, one.shaper.damping / one.damping) > factor:
            measured = format_amount(round(one.damping, 3))
            yield Problem(
                stated[0].place,
                f"{one.name} damps with a ratio of {measured}, measured {one.date}, and is set to "
                f"{format_amount(one.shaper.damping)}; for that alone {one.shaper.kind} leaves "
                f"{_percent(one.leaves(one.frequency, one.shaper.damping))} of the vibration",
                subject=one.name,
                advice=f"Set the damping of {one.axis.letter} to {measured}.",
            )


def _ringing(subject: Subject) -> Iterator[Ringing]:
    """Every shaped axis whose measured resonance still holds."""
    if not subject.evidence.records:
        return
    for axis in subject.machine.axes():
        shaper = shaper_of(axis)
        if shaper is None:
            continue
        record = holding(subject.evidence, subject.machine, MeasurementKind.RESONANCE, f"axis {axis.letter}")
        frequency = _value(record, "natural frequency", "Hz", RINGS) if record is not None else None
        if record is not None and frequency is not None:
            damping = _value(record, "damping", "1", (0.0, 1.0))
            yield Ringing(axis, shaper, frequency, damping, record.date.date().isoformat())


def _value(record: Record, name: str, unit: str, between: tuple[float, float]) -> float | None:
    """A result in the unit that it is written with; None for what only a hand can have made of it."""
    result = record.result(name)
    low, high = between
    return result.value if result is not None and result.unit == unit and low < result.value < high else None


def _hertz(frequency: float) -> str:
    return format_amount(round(frequency, 1), "Hz")


def _percent(share: float) -> str:
    return format_amount(round(100.0 * share, 1), "%")


def _accel(acceleration: float) -> str:
    return format_amount(round(acceleration), "mm/s²")
