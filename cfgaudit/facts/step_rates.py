"""Facts of step rates: what the motors of an axis need of what their board can make."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from cfgaudit.facts.axes import SPEED, axis_fact, steps_per_mm
from cfgaudit.facts.axis_limits import limit_of
from cfgaudit.facts.fact import Fact, Term, fact
from cfgaudit.facts.inputs import positive
from cfgaudit.machine.kinematics import motors_of, shared_axes
from cfgaudit.machine.model import Axis, Machine, Meaning
from cfgaudit.physics.motion import diagonal_belt_speed, step_rate
from cfgaudit.tree.names import fold_name

SLOWEST_BOARD = 1000.0
"""1/s; a bare number below it counts in thousands or in something else."""


@fact
def step_rate_shares(machine: Machine) -> Iterator[Fact]:
    """``axis.A.step_rate_share``: the steps of its fastest motor ÷ those that the motor's board can make.

    A stated rate of a board may count for each motor or for all together; one motor alone must keep it in
    either case.
    """
    boards = _boards_of_motors(machine)
    limits = _stated_rates(machine)
    for axis in machine.axes():
        keys = {boards[id(motor.section)] for motor in motors_of(axis) if id(motor.section) in boards}
        stated = [limits[key] for key in keys if key in limits]
        if stated:
            yield from _share(axis, min(stated, key=lambda one: one.amount or 0.0))


def _share(axis: Axis, limit: Meaning) -> Iterator[Fact]:
    per_mm, fastest = steps_per_mm(axis), _belt_speed(axis)
    most = positive(limit)
    if per_mm is None or fastest is None or most is None:
        return
    speed, top, formula = fastest
    yield axis_fact(
        axis,
        "step_rate_share",
        step_rate(speed, per_mm[0]) / most,
        "1",
        (top, limit, *per_mm[1].origin),
        f"{formula} × steps per mm ÷ the board's step rate",
        source="common practice, no source",
        terms=(
            Term("top speed", top.amount or 0.0, SPEED),
            Term("steps per mm", per_mm[0], "1/mm"),
            Term("the board's step rate", most, "1/s"),
        ),
    )


def _belt_speed(axis: Axis) -> tuple[float, Meaning, str] | None:
    """The top speed of one motor's belt or screw in mm/s, the limit that it follows from, and how.

    Where two axes share their motors, a diagonal move at the lower of their limits turns one motor alone, √2
    times as fast.
    """
    own = limit_of(axis, "speed.max")
    speed = positive(own)
    if own is None or speed is None:
        return None
    both = [limit_of(axis.machine.axis(letter), "speed.max") for letter in shared_axes(axis.machine)]
    stated = [one for one in both if one is not None and positive(one) is not None]
    if axis.letter in shared_axes(axis.machine) and len(stated) == len(both):
        lower = min([own, *stated], key=lambda one: one.amount or 0.0)
        diagonal = diagonal_belt_speed(lower.amount or 0.0)
        if diagonal > speed:
            return diagonal, lower, "√2 × top speed"
    return speed, own, "top speed"


def _boards_of_motors(machine: Machine) -> Mapping[int, str]:
    """The board of each step pin, by the identity of the section that names the pin."""
    uses = (use for pins in machine.pins.values() for users in pins.values() for use in users)
    return {
        id(use.part.section): use.board
        for use in uses
        if use.meaning.role == "pin.step" and use.part is not None and use.known_board
    }


def _stated_rates(machine: Machine) -> Mapping[str, Meaning]:
    """The step rate that is stated for each board, by its key in the pin map; the machine's is for all."""
    keys = {fold_name(board.name): board.get("board.steprate") for board in machine.kind("board")}
    common = next((one for part in machine.kind("motion") for one in part.all("board.steprate")), None)
    stated = {key: own or common for key, own in {**dict.fromkeys(machine.pins), **keys}.items()}
    return {
        key: one
        for key, one in stated.items()
        if one is not None and (amount := one.amount) is not None and amount >= SLOWEST_BOARD
    }
