"""duty-out-of-range: shares of power that are less than nothing or more than all."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from cfgaudit.checks.conflict import at_later
from cfgaudit.checks.finding import Limits, Problem, Severity, Skip, Subject
from cfgaudit.checks.limit_value import numbers, words
from cfgaudit.checks.registry import check
from cfgaudit.machine.model import Meaning, Part
from cfgaudit.syntax.value import Dimension, Number
from cfgaudit.vocabulary.words import load_words

POWERED = ("heater", "fan")
BOUNDS = frozenset({"max", "min", "limit"})
"""Concepts of words that make of power the share that may be used."""
WHOLE = 1.0
PERCENT = 100.0
ROUNDING = 1e-9


@check("duty-out-of-range")
def duty_out_of_range(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """Shares outside 0 to 1, or 0 to 100 %, and a smallest share above the largest."""
    written = [
        (part, duty)
        for part in subject.machine.kind(*POWERED)
        for duty in part.all("power.")
        if duty.role != "power.rating" and duty.amount is not None and _dimension(duty) is not None
    ]
    shares = list({duty.place: duty for _, duty in written}.values())
    wrong: dict[int, Problem] = {}
    for part, duty in {duty.place: (part, duty) for part, duty in reversed(written)}.values():
        if _may_be_watts(subject, duty, words(limits, "share_words")):
            continue
        problem = _outside(part, duty, shares, numbers(limits, "full_scales"))
        if problem is not None:
            wrong[id(duty)] = problem
    yield from wrong.values()
    for part in subject.machine.kind(*POWERED):
        low, high = part.get("power.min"), part.get("power.max")
        if low is None or high is None or id(low) in wrong or id(high) in wrong or not _swapped(low, high):
            continue
        place, related = at_later(subject.tree, low.place, high.place)
        yield Problem(
            place,
            f"the least power of {part.title}, {low.text.strip()}, is above the most, {high.text.strip()}",
            subject=f"{part.title} least most",
            related=related,
        )


def _may_be_watts(subject: Subject, duty: Meaning, share_words: Sequence[str]) -> bool:
    """Whether a bare number above 1 may be watts or count steps: no word says that it is a share."""
    if _dimension(duty) is not Dimension.NONE or (duty.amount or 0.0) <= WHOLE:
        return False
    said = (subject.words or load_words()).lexicon.words(duty.setting.name)
    return not any(word.concept in BOUNDS or word.text in share_words for word in said)


def _dimension(duty: Meaning) -> Dimension | None:
    """How the share is written: as a ratio or as a bare number; None for anything else."""
    value = duty.value
    dimension = value.dimension if isinstance(value, Number) else None
    return dimension if dimension in (Dimension.RATIO, Dimension.NONE) else None


def _swapped(low: Meaning, high: Meaning) -> bool:
    same = _dimension(low) is not None and _dimension(low) is _dimension(high)
    return same and low.amount is not None and high.amount is not None and low.amount > high.amount


def _outside(
    part: Part, duty: Meaning, shares: Sequence[Meaning], full_scales: Sequence[float]
) -> Problem | None:
    amount = duty.amount or 0.0
    if -ROUNDING <= amount <= WHOLE + ROUNDING:
        return None
    if amount > 0 and _dimension(duty) is Dimension.NONE:
        others = [one for one in shares if one is not duty]
        return _beyond_scale(part, duty, amount, others, full_scales)
    return _problem(part, duty, "which is less than nothing" if amount < 0 else "which is more than all")


def _beyond_scale(
    part: Part, duty: Meaning, amount: float, others: Sequence[Meaning], full_scales: Sequence[float]
) -> Problem | None:
    """A bare number above 1: a fault only on the scale that the other settings show.

    A share may be written of 1, of 100, or of what the pulse generator counts to (255 and the like).
    """
    if any(_with_unit(one) for one in others) and amount not in full_scales:
        return _problem(part, duty, "which without a percent sign is more than all")
    same = [one.amount or 0.0 for one in others if one.setting.key == duty.setting.key]
    if any(0 < one < WHOLE for one in same) or (WHOLE < amount < 2 * WHOLE and duty.role == "power.max"):
        return _problem(part, duty, "which is more than all of 1")
    if amount <= PERCENT or amount in full_scales:
        return None
    if any(one > PERCENT for one in same):
        return None
    if any(WHOLE < one <= PERCENT for one in same):
        return _problem(part, duty, "which is more than all of 100")
    return _problem(part, duty, "which is no share of 1 and none of 100", Severity.WARNING)


def _with_unit(duty: Meaning) -> bool:
    return _dimension(duty) is Dimension.RATIO


def _problem(part: Part, duty: Meaning, what: str, severity: Severity | None = None) -> Problem:
    return Problem(
        duty.place,
        f"{part.title}: {duty.setting.name} is {duty.text.strip()}, {what}",
        subject=f"{part.title} {duty.role}",
        severity=severity,
    )
