"""Motors that move one axis, or two with shared belts, together and must therefore be alike."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from cfgaudit.checks.finding import Limits, Problem, Severity, Skip, Subject
from cfgaudit.checks.limit_value import number
from cfgaudit.checks.ratio import gear_ratio, microsteps
from cfgaudit.checks.registry import check
from cfgaudit.checks.rule import format_amount
from cfgaudit.machine.kinematics import motors_of, shared_axes
from cfgaudit.machine.model import Axis, Machine, Meaning, Part


class Trait(NamedTuple):
    """Something that paired motors share: its role, how it is said, and whether it changes mm per step."""

    role: str
    saying: str
    unit: str
    moves: bool = True


TRAITS = (
    Trait("travel.turn", "moves {} a turn", "mm"),
    Trait("steps.full", "has {} full steps a turn", ""),
    Trait("steps.micro", "has {} microsteps", ""),
    Trait("gear.ratio", "is geared {} to 1", ""),
    Trait("current.run", "runs with {}", "A", moves=False),
)


class Team(NamedTuple):
    """Motors that move together: their axes by name (``z``; ``x and y``), and the motors."""

    axes: str
    motors: Sequence[Part]


class Stated(NamedTuple):
    """What is written for one motor."""

    motor: Part
    meaning: Meaning
    amount: float


@check("paired-motors-differ")
def paired_motors_differ(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """Two motors that move together differ in what makes them go equally far, or equally strong."""
    for team in _teams(subject.machine):
        for trait in TRAITS if len(team.motors) > 1 else ():
            slack = number(limits, "tolerance") if trait.moves else number(limits, "current_tolerance")
            stated = list(_stated(subject.machine, team.motors, trait))
            for odd, usual in _odd_ones(stated, slack):
                yield _problem(team, trait, odd, usual)


def _teams(machine: Machine) -> Iterator[Team]:
    """The motors of each axis; two axes with shared belts have theirs in common.

    Feeders are no team, each has a filament of its own; nor are carriages that travel independently.
    """
    shared = shared_axes(machine)
    if shared and not any(_independent(machine.axis(letter)) for letter in shared):
        yield Team(" and ".join(shared), motors_of(machine.axis(shared[0])))
    for axis in machine.axes():
        if axis.letter not in {"e", *shared} and not _independent(axis):
            yield Team(axis.letter, axis.parts("motor"))


def _independent(axis: Axis) -> bool:
    """Whether several motors of the axis have a travel of their own."""
    alone = (any(True for _ in _with_mates(axis.machine, one, "travel.max")) for one in axis.parts("motor"))
    return sum(alone) > 1


def _with_mates(machine: Machine, motor: Part, role: str) -> Iterator[Meaning]:
    for part in (motor, *machine.mates(motor)):
        yield from part.all(role)


def _stated(machine: Machine, motors: Sequence[Part], trait: Trait) -> Iterator[Stated]:
    """What is written for each motor, in its own section or its driver's. Nothing written: its default."""
    for motor in motors:
        own = list(_with_mates(machine, motor, trait.role))
        found = own or [one for driver in machine.partners(motor, "driver") for one in driver.all(trait.role)]
        amounts = {_amount(meaning) for meaning in found}
        if len(amounts) == 1 and (amount := amounts.pop()) is not None:
            yield Stated(motor, found[0], amount)


def _amount(meaning: Meaning) -> float | None:
    if meaning.role == "gear.ratio":
        return gear_ratio(meaning)
    return microsteps(meaning) if meaning.role == "steps.micro" else meaning.amount


def _odd_ones(stated: Sequence[Stated], slack: float) -> Iterator[tuple[Stated, Stated]]:
    """Each motor that differs from what most have, with one of these; of two, the one written later."""
    if not stated:
        return
    usual_amount = Counter(one.amount for one in stated).most_common(1)[0][0]
    usual = next(one for one in stated if one.amount == usual_amount)
    for one in stated:
        if abs(one.amount - usual.amount) > slack * abs(usual.amount):
            yield one, usual


def _problem(team: Team, trait: Trait, odd: Stated, usual: Stated) -> Problem:
    says = [trait.saying.format(format_amount(one.amount, trait.unit)) for one in (odd, usual)]
    return Problem(
        odd.meaning.place,
        f"{odd.motor.title} {says[0]}, but {usual.motor.title}, which moves {team.axes} with it, {says[1]}",
        subject=f"axis {team.axes} {odd.motor.title} {trait.role}",
        related=(usual.meaning.place,),
        severity=None if trait.moves else Severity.WARNING,
    )
