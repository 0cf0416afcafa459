"""Facts of an axis that speeds up and stops: distances, and the speed that its travel allows."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.facts.axes import ACCELERATION, MECHANICS, SPEED, axis_fact
from cfgaudit.facts.axis_limits import limit_of
from cfgaudit.facts.fact import Fact, Term, fact
from cfgaudit.facts.inputs import positive
from cfgaudit.machine.model import Axis, Machine, Meaning
from cfgaudit.physics import motion


@fact
def ramps(machine: Machine) -> Iterator[Fact]:
    """``axis.A.ramp_distance`` and ``home_stop_distance`` in mm, ``axis.A.reachable_speed`` in mm/s."""
    for axis in machine.axes():
        limit = limit_of(axis, "accel.max")
        acceleration = positive(limit)
        if limit is None or acceleration is None:
            continue
        yield from _ramp(axis, limit, acceleration)
        yield from _reachable(axis, limit, acceleration)
        yield from _home_stop(axis, limit, acceleration)


def _ramp(axis: Axis, limit: Meaning, acceleration: float) -> Iterator[Fact]:
    top = limit_of(axis, "speed.max")
    speed = positive(top)
    if top is not None and speed is not None:
        yield axis_fact(
            axis,
            "ramp_distance",
            motion.ramp_distance(speed, acceleration),
            "mm",
            (top, limit),
            "v² ÷ a",
            source=MECHANICS,
            terms=(Term("v", speed, SPEED), Term("a", acceleration, ACCELERATION)),
        )


def _reachable(axis: Axis, limit: Meaning, acceleration: float) -> Iterator[Fact]:
    low, high = axis.own("travel.min"), axis.own("travel.max")
    if low is None or high is None or low.amount is None or high.amount is None:
        return
    room = high.amount - low.amount
    if room > 0:
        yield axis_fact(
            axis,
            "reachable_speed",
            motion.reachable_speed(room, acceleration),
            SPEED,
            (limit, low, high),
            "√(a × s)",
            source=MECHANICS,
            terms=(Term("a", acceleration, ACCELERATION), Term("s", room, "mm")),
            bounds=axis.own("speed.max"),
        )


def _home_stop(axis: Axis, limit: Meaning, acceleration: float) -> Iterator[Fact]:
    homing = axis.own("home.speed")
    speed = positive(homing)
    if homing is not None and speed is not None:
        yield axis_fact(
            axis,
            "home_stop_distance",
            motion.stop_distance(speed, acceleration),
            "mm",
            (homing, limit),
            "v² ÷ (2 × a)",
            source=MECHANICS,
            terms=(Term("v", speed, SPEED), Term("a", acceleration, ACCELERATION)),
        )


@fact
def home_room(machine: Machine) -> Iterator[Fact]:
    """``axis.A.home_room`` in mm: how far an axis may run on behind its switch.

    The larger of what it backs off again and what its travel leaves beyond the home position.
    """
    for axis in machine.axes():
        retract, beyond = axis.own("home.retract"), _beyond_home(axis)
        back = positive(retract)
        if retract is not None and back is not None and (beyond is None or back >= beyond[0]):
            yield axis_fact(axis, "home_room", back, "mm", (retract,), "what it backs off")
        elif beyond is not None and beyond[0] > 0:
            yield axis_fact(
                axis, "home_room", beyond[0], "mm", beyond[1], "the travel beyond the home position"
            )


def _beyond_home(axis: Axis) -> tuple[float, tuple[Meaning, ...]] | None:
    """From the home position to the nearer end of the travel, in mm; the end that it homes to is that one."""
    home, low, high = (axis.own(role) for role in ("home.position", "travel.min", "travel.max"))
    if home is None or low is None or high is None:
        return None
    if home.amount is None or low.amount is None or high.amount is None:
        return None
    return min(
        (home.amount - low.amount, (home, low)),
        (high.amount - home.amount, (home, high)),
        key=lambda one: one[0],
    )
