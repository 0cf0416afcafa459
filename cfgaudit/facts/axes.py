"""Facts of an axis: steps, speeds and distances."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.facts.fact import Fact, fact
from cfgaudit.facts.inputs import full_steps, gear_ratio, microsteps, positive
from cfgaudit.machine.model import Axis, Machine, Meaning
from cfgaudit.physics import motion

TRADE = "common practice, no source"
MECHANICS = "mechanics of steady acceleration"


@fact
def steps(machine: Machine) -> Iterator[Fact]:
    """``axis.A.steps_per_mm`` in 1/mm, ``step_size`` in mm, ``step_rate`` in 1/s at the top speed."""
    for axis in machine.axes():
        per_mm = _steps_per_mm(axis)
        if per_mm is None:
            continue
        yield per_mm
        amount = per_mm.value
        assert isinstance(amount, float)
        size = motion.step_size(amount)
        yield _fact(axis, "step_size", size, "mm", per_mm.origin, "1 ÷ steps per mm", TRADE)
        top = axis.find("speed.max")
        speed = positive(top)
        if top is not None and speed is not None:
            rate, origin = motion.step_rate(speed, amount), (top, *per_mm.origin)
            yield _fact(axis, "step_rate", rate, "1/s", origin, "top speed × steps per mm", TRADE)


@fact
def travel(machine: Machine) -> Iterator[Fact]:
    """``axis.A.travel`` in mm; below 0 where the limits are swapped."""
    for axis in machine.axes():
        low, high = axis.own("travel.min"), axis.own("travel.max")
        if low and high and low.amount is not None and high.amount is not None:
            yield _fact(axis, "travel", high.amount - low.amount, "mm", (low, high), "max − min")


@fact
def ramps(machine: Machine) -> Iterator[Fact]:
    """``axis.A.ramp_distance`` and ``axis.A.home_stop_distance`` in mm."""
    for axis in machine.axes():
        limit = axis.find("accel.max")
        acceleration = positive(limit)
        if limit is None or acceleration is None:
            continue
        top, homing = axis.find("speed.max"), axis.own("home.speed")
        speed, home_speed = positive(top), positive(homing)
        if top is not None and speed is not None:
            ramp = motion.ramp_distance(speed, acceleration)
            yield _fact(axis, "ramp_distance", ramp, "mm", (top, limit), "v² ÷ a", MECHANICS)
        if homing is not None and home_speed is not None:
            stop = motion.stop_distance(home_speed, acceleration)
            formula = "v² ÷ 2a at homing speed"
            yield _fact(axis, "home_stop_distance", stop, "mm", (homing, limit), formula, MECHANICS)


def _steps_per_mm(axis: Axis) -> Fact | None:
    """None unless full steps, microsteps and travel per turn are all stated; no stated gear is no gear."""
    roles = ("steps.full", "steps.micro", "travel.turn", "gear.ratio")
    full, micro, turn, gear = (axis.own(role) for role in roles)
    inputs = full_steps(full), microsteps(micro), positive(turn), gear_ratio(gear)
    whole, parts, distance, ratio = inputs
    if whole is None or parts is None or distance is None or ratio is None:
        return None
    amount = motion.steps_per_mm(
        full_steps=whole, microsteps=parts, travel_per_turn=distance, gear_ratio=ratio
    )
    origin = tuple(one for one in (full, micro, turn, gear) if one is not None)
    formula = "full steps × microsteps × gear ratio ÷ travel per turn"
    return _fact(axis, "steps_per_mm", amount, "1/mm", origin, formula, TRADE)


def _fact(
    axis: Axis,
    quantity: str,
    amount: float,
    unit: str,
    origin: tuple[Meaning, ...],
    formula: str,
    source: str = "",
) -> Fact:
    return Fact(f"axis.{axis.letter}.{quantity}", amount, unit, origin, formula, source)
