"""Facts of an axis: steps, speeds and distances."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.facts.axis_limits import limit_of
from cfgaudit.facts.fact import Fact, Term, fact
from cfgaudit.facts.inputs import full_steps, gear_ratio, microsteps, positive
from cfgaudit.machine.kinematics import partners_of
from cfgaudit.machine.model import Axis, Machine, Meaning
from cfgaudit.physics import motion

TRADE = "common practice, no source"
MECHANICS = "mechanics of steady acceleration"
SPEED, ACCELERATION = "mm/s", "mm/s²"


@fact
def steps(machine: Machine) -> Iterator[Fact]:
    """``axis.A.steps_per_mm`` in 1/mm, ``step_size`` in mm, ``step_rate`` in 1/s at the top speed."""
    for axis in machine.axes():
        found = steps_per_mm(axis)
        if found is None:
            continue
        amount, per_mm = found
        yield per_mm
        step = Term("steps per mm", amount, "1/mm")
        size = motion.step_size(amount)
        yield axis_fact(
            axis, "step_size", size, "mm", per_mm.origin, "1 ÷ steps per mm", source=TRADE, terms=(step,)
        )
        top = limit_of(axis, "speed.max")
        speed = positive(top)
        if top is not None and speed is not None:
            yield axis_fact(
                axis,
                "step_rate",
                motion.step_rate(speed, amount),
                "1/s",
                (top, *per_mm.origin),
                "top speed × steps per mm",
                source=TRADE,
                terms=(Term("top speed", speed, SPEED), step),
            )


@fact
def travel(machine: Machine) -> Iterator[Fact]:
    """``axis.A.travel`` in mm; below 0 where the limits are swapped."""
    for axis in machine.axes():
        low, high = axis.own("travel.min"), axis.own("travel.max")
        if low and high and low.amount is not None and high.amount is not None:
            terms = Term("max", high.amount, "mm"), Term("min", low.amount, "mm")
            yield axis_fact(
                axis, "travel", high.amount - low.amount, "mm", (low, high), "max − min", terms=terms
            )


def steps_per_mm(axis: Axis) -> tuple[float, Fact] | None:
    """The steps and the fact ``axis.A.steps_per_mm``.

    From what is written of the axis's motors: its own, or those that it shares with another axis. None unless
    full steps, microsteps and travel per turn are all stated; no stated gear is no gear.
    """
    return next((one for other in partners_of(axis) if (one := _from_motors(axis, other)) is not None), None)


def _from_motors(axis: Axis, motors: Axis) -> tuple[float, Fact] | None:
    roles = ("steps.full", "steps.micro", "travel.turn", "gear.ratio")
    full, micro, turn, gear = (motors.own(role) for role in roles)
    inputs = full_steps(full), microsteps(micro), positive(turn), gear_ratio(gear)
    whole, parts, distance, ratio = inputs
    if whole is None or parts is None or distance is None or ratio is None:
        return None
    amount = motion.steps_per_mm(
        full_steps=whole, microsteps=parts, travel_per_turn=distance, gear_ratio=ratio
    )
    terms = (
        Term("full steps", whole),
        Term("microsteps", parts),
        Term("gear ratio", ratio),
        Term("travel per turn", distance, "mm"),
    )
    origin = tuple(one for one in (full, micro, turn, gear) if one is not None)
    formula = "full steps × microsteps × gear ratio ÷ travel per turn"
    made = axis_fact(axis, "steps_per_mm", amount, "1/mm", origin, formula, source=TRADE, terms=terms)
    return amount, made


def axis_fact(
    axis: Axis,
    quantity: str,
    amount: float | tuple[float, float],
    unit: str,
    origin: tuple[Meaning, ...],
    formula: str,
    *,
    source: str = "",
    terms: tuple[Term, ...] = (),
    bounds: Meaning | None = None,
) -> Fact:
    """A fact of an axis."""
    return Fact(f"axis.{axis.letter}.{quantity}", amount, unit, origin, formula, source, terms, bounds)
