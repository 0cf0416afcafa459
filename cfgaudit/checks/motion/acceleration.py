"""Accelerations that never take effect, or that no printer has."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.checks.conflict import at_later
from cfgaudit.checks.finding import Limits, Problem, Skip, Subject
from cfgaudit.checks.limit_value import number
from cfgaudit.checks.registry import check
from cfgaudit.checks.rule import format_amount
from cfgaudit.checks.travel import axis_meanings
from cfgaudit.machine.model import Machine, Meaning
from cfgaudit.syntax.document import Place
from cfgaudit.syntax.value import Dimension, Number

UNIT = "mm/s²"


@check("accel-above-machine")
def accel_above_machine(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """An axis may accelerate faster than the whole machine, so its own limit never takes effect.

    The feeder is left out: it also moves alone, and few machines' limits count for it then.
    """
    whole = _machine_wide(subject.machine)
    if whole is None:
        return
    for letter, meaning in axis_meanings(subject.machine, "accel.max"):
        if letter != "e" and _is_acceleration(meaning) and _amount(meaning) > _amount(whole):
            place, related = at_later(subject.tree, meaning.place, whole.place)
            yield Problem(
                place,
                f"axis {letter} may accelerate with {format_amount(_amount(meaning), UNIT)}, "
                f"the whole machine only with {format_amount(_amount(whole), UNIT)}",
                subject=f"axis {letter}",
                related=related,
            )


def _machine_wide(machine: Machine) -> Meaning | None:
    """The machine-wide limit; the largest where several are written, for nobody knows which counts when."""
    found = [
        meaning
        for part in machine.kind("motion")
        for meaning in part.all("accel.max")
        if meaning.axis is None and part.axis is None and _is_acceleration(meaning) and _amount(meaning) > 0
    ]
    return max(found, key=_amount, default=None)


@check("accel-implausible")
def accel_implausible(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """An acceleration so small or so large that it can only be a slip. Zero may mean "no limit"."""
    low, high = number(limits, "lowest"), number(limits, "highest")
    seen: set[Place] = set()
    for part in subject.machine.kind("axis", "motor", "motion"):
        for meaning in part.all("accel.max"):
            if meaning.place in seen or not _is_acceleration(meaning) or _amount(meaning) == 0:
                continue
            seen.add(meaning.place)
            if not low <= _amount(meaning) <= high:
                yield Problem(
                    meaning.place,
                    f"{part.title} may accelerate with {format_amount(_amount(meaning), UNIT)}, "
                    f"outside {format_amount(low)} to {format_amount(high, UNIT)}",
                    subject=f"{part.title} {meaning.setting.key}",
                )


def _is_acceleration(meaning: Meaning) -> bool:
    """A number in mm/s² or in no unit: a rotary axis may count in degrees."""
    value = meaning.value
    plain = (Dimension.NONE, Dimension.ACCELERATION)
    return meaning.fits and isinstance(value, Number) and value.dimension in plain


def _amount(meaning: Meaning) -> float:
    return meaning.amount or 0.0
