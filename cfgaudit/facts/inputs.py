"""What settings say as numbers: the forms in which the trade writes steps, gears, points and counts.

Every function gives None where the value is in no form that it knows, and where it does not fit its role.
"""

from __future__ import annotations

from collections.abc import Iterable

from cfgaudit.machine.model import Meaning, Part
from cfgaudit.physics.motion import full_steps_from_angle
from cfgaudit.physics.probing import Point
from cfgaudit.syntax.value import Dimension, Fraction, Items, Number, Value, numbers

LARGEST_STEP_ANGLE = 10.0
"""A bare number below this is a step angle in degrees: no motor has so few steps (common practice)."""


def positive(meaning: Meaning | None) -> float | None:
    """The number, if it is above 0."""
    amount = meaning.amount if meaning is not None else None
    return amount if amount is not None and amount > 0 else None


def full_steps(meaning: Meaning | None) -> float | None:
    """Full steps per turn, from a count or from a step angle (``1.8 deg``, or a bare number below 10)."""
    amount = positive(meaning)
    if meaning is None or amount is None or not isinstance(meaning.value, Number):
        return None
    is_angle = meaning.value.dimension is Dimension.ANGLE or amount < LARGEST_STEP_ANGLE
    return full_steps_from_angle(amount) if is_angle else amount


def microsteps(meaning: Meaning | None) -> float | None:
    """Microsteps per full step, from a count or from the share of a step (``1/16``)."""
    if meaning is None or not meaning.fits:
        return None
    match meaning.value:
        case Fraction(over=1.0, under=under) if under > 0:
            return under
        case Number(amount=amount) if 0 < amount < 1:
            return 1.0 / amount
    return positive(meaning)


def gear_ratio(meaning: Meaning | None) -> float | None:
    """Turns of the motor for one turn of the output; 1 where no gear is stated.

    ``80:20`` and the pair ``80, 20`` are the driven over the driving teeth, 4; stages multiply; a number is
    the ratio itself.
    """
    if meaning is None:
        return 1.0
    ratio = _ratio(meaning.value) if meaning.fits else None
    return ratio if ratio is not None and ratio > 0 else None


def _ratio(value: Value) -> float | None:
    match value:
        case Number(amount=amount):
            return amount
        case Fraction(over=over, under=under):
            return over / under if under else None
        case Items(items=(Number(amount=over), Number(amount=under))):
            return over / under if under else None
        case Items(items=items) if items and not any(isinstance(item, Number) for item in items):
            return _product(_ratio(item) for item in items)
    return None


def _product(ratios: Iterable[float | None]) -> float | None:
    total = 1.0
    for ratio in ratios:
        if ratio is None:
            return None
        total *= ratio
    return total


def point(part: Part, role: str) -> tuple[Point, tuple[Meaning, ...]] | None:
    """A point in x and y with where it is written: one pair, or one setting an axis."""
    for meaning in part.all(role):
        amounts = numbers(meaning.value) if meaning.fits and isinstance(meaning.value, Items) else ()
        if len(amounts) >= 2:
            return (amounts[0], amounts[1]), (meaning,)
    x, y = part.get(role, "x"), part.get(role, "y")
    if x is None or y is None or x.amount is None or y.amount is None:
        return None
    return (x.amount, y.amount), (x, y)


def points(meaning: Meaning) -> tuple[Point, ...]:
    """Points of a list: pairs (or triples) one a line or between commas, or numbers in pairs; else none."""
    if not meaning.fits or not isinstance(meaning.value, Items):
        return ()
    groups = [numbers(item) for item in meaning.value.items]
    if all(len(group) == 1 for group in groups):
        flat = numbers(meaning.value)
        return tuple(zip(flat[::2], flat[1::2], strict=True)) if len(flat) % 2 == 0 else ()
    return tuple((group[0], group[1]) for group in groups) if all(len(group) >= 2 for group in groups) else ()


def counts(part: Part, role: str) -> tuple[tuple[int, int], tuple[Meaning, ...]] | None:
    """Whole counts in x and y, at least 1 each: a pair, one for both, or one setting an axis."""
    stated = point(part, role)
    if stated is None:
        both = part.get(role)
        if both is None or both.amount is None or part.get(role, "x") or part.get(role, "y"):
            return None
        stated = (both.amount, both.amount), (both,)
    (across, along), origin = stated
    if across < 1 or along < 1 or across % 1 or along % 1:
        return None
    return (int(across), int(along)), origin
