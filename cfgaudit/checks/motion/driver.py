"""What a motor's driver cannot do, or should not."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.checks.conflict import at_later
from cfgaudit.checks.finding import Limits, Problem, Skip, Subject
from cfgaudit.checks.limit_value import number, numbers, words
from cfgaudit.checks.ratio import microsteps
from cfgaudit.checks.registry import check
from cfgaudit.checks.rule import format_amount
from cfgaudit.machine.driver_chips import DriverChip, chip_of
from cfgaudit.machine.model import Machine, Meaning, Part
from cfgaudit.syntax.document import Place
from cfgaudit.syntax.value import Dimension, Number
from cfgaudit.tree.names import fold_name

DRIVEN = ("driver", "motor", "axis")


@check("microsteps-invalid")
def microsteps_invalid(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A number of microsteps that the driver's chip does not have.

    Stand-alone drivers with switches also divide by five and ten; such a number is a fault only where a
    chip is named that divides by two. A power of two is one where the chip that is named goes less far.
    """
    allowed, decimal = numbers(limits, "allowed"), numbers(limits, "decimal")
    seen: set[Place] = set()
    for part in subject.machine.kind(*DRIVEN):
        for meaning in part.all("steps.micro"):
            steps = microsteps(meaning)
            if steps is None or meaning.place in seen:
                continue
            seen.add(meaning.place)
            if steps in allowed:
                yield from _too_fine(part, meaning, steps, chip_of(subject.machine, part))
                continue
            if steps in decimal and not _divides_by_two(subject.machine, part, words(limits, "binary_chips")):
                continue
            yield Problem(
                meaning.place,
                f"{part.title} has {format_amount(steps)} microsteps, which is no power of two up to "
                f"{format_amount(max(allowed))}",
                subject=part.title,
                advice=f"Write {format_amount(min(allowed, key=lambda one: abs(one - steps)))}, or another "
                "power of two, and check that a commanded 100 mm is 100 mm",
            )


def _too_fine(part: Part, meaning: Meaning, steps: float, chip: DriverChip | None) -> Iterator[Problem]:
    if chip is not None and steps > chip.microsteps:
        yield Problem(
            meaning.place,
            f"{part.title} has {format_amount(steps)} microsteps, but its {chip.name} splits a step into "
            f"at most {chip.microsteps}",
            subject=part.title,
            advice=f"Write {chip.microsteps}, or correct the chip's name if it is another one.",
        )


def _divides_by_two(machine: Machine, part: Part, families: tuple[str, ...]) -> bool:
    """Whether the chip that drives the motor is named and belongs to a family that only halves."""
    owners = (part, *machine.mates(part), *machine.partners(part, "driver"))
    models = (fold_name(model.text) for owner in owners for model in owner.all("driver.model"))
    return any(model.startswith(fold_name(family)) for model in models for family in families)


@check("hold-above-run")
def hold_above_run(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A motor gets more current while it stands than while it moves."""
    seen: set[Place] = set()
    for part in subject.machine.kind(*DRIVEN):
        run, hold = part.get("current.run"), part.get("current.hold")
        if run is None or hold is None or hold.place in seen:
            continue
        seen.add(hold.place)
        if _exceeds(hold, run, number(limits, "unclear_from")):
            place, related = at_later(subject.tree, hold.place, run.place)
            yield Problem(
                place,
                f"{part.title} holds with {_current(hold)} and runs with {_current(run)}",
                subject=part.title,
                related=related,
            )


def _exceeds(hold: Meaning, run: Meaning, unclear_from: float) -> bool:
    """Whether both are numbers of one kind and the first is larger.

    Bare numbers far apart are silence: one may count in percent or in mA.
    """
    if hold.amount is None or run.amount is None or hold.amount <= run.amount:
        return False
    kinds = {value.dimension for value in (hold.value, run.value) if isinstance(value, Number)}
    return kinds == {Dimension.CURRENT} or (len(kinds) == 1 and hold.amount < unclear_from * run.amount)


def _current(meaning: Meaning) -> str:
    bare = not isinstance(meaning.value, Number) or meaning.value.dimension is not Dimension.CURRENT
    return meaning.text if bare else format_amount(meaning.amount or 0.0, "A")
