"""How far a number moved, and how to say it."""

from __future__ import annotations

from math import log
from typing import NamedTuple

from cfgaudit.facts.fact import Amount
from cfgaudit.facts.inputs import LARGEST_STEP_ANGLE
from cfgaudit.syntax.read_value import read_value
from cfgaudit.syntax.value import Dimension, Fraction, Items, Number, Value

FAINTEST = 0.3
"""What the smallest difference counts, of 1: a small change of the right setting is still one."""


class Difference(NamedTuple):
    """The numbers of a value before and after, as many on either side."""

    before: tuple[float, ...]
    after: tuple[float, ...]

    @property
    def direction(self) -> str:
        """``raised``, ``lowered``, or empty where some went up and some down."""
        ups = {new > old for old, new in self.pairs}
        return "" if len(ups) != 1 else "raised" if ups == {True} else "lowered"

    @property
    def pairs(self) -> tuple[tuple[float, float], ...]:
        """The numbers that differ."""
        both = zip(self.before, self.after, strict=True)
        return tuple((old, new) for old, new in both if old != new)

    def strength(self, times: float, difference: float | None) -> float:
        """From 0.3 to 1 on a logarithmic scale; 1 at a ratio of ``times``, or at ``difference`` if given."""
        if difference is not None:
            share = max((_share_of_difference(new - old, difference) for old, new in self.pairs), default=0.0)
        else:
            share = max((_share_of_ratio(old, new, times) for old, new in self.pairs), default=0.0)
        return FAINTEST + (1 - FAINTEST) * min(1.0, share)


def _share_of_ratio(old: float, new: float, times: float) -> float:
    if old * new <= 0:
        return 1.0
    return abs(log(new / old)) / log(times)


def _share_of_difference(moved: float, difference: float) -> float:
    return log(1 + 9 * abs(moved) / difference) / log(10)


def difference_of_values(role: str | None, before: str, after: str) -> Difference | None:
    """What two values of one setting say as numbers; None where one of them says none, or fewer."""
    return _difference(_value_numbers(role, read_value(before)), _value_numbers(role, read_value(after)))


def difference_of_amounts(before: Amount, after: Amount) -> Difference | None:
    """The same of a fact's amounts."""
    return _difference(_amount_numbers(before), _amount_numbers(after))


def says_number(role: str | None, value: str) -> bool:
    """Whether a value is one number."""
    return len(_value_numbers(role, read_value(value))) == 1


def _difference(before: tuple[float, ...], after: tuple[float, ...]) -> Difference | None:
    if not before or len(before) != len(after):
        return None
    return Difference(before, after)


def _value_numbers(role: str | None, value: Value) -> tuple[float, ...]:
    """Microsteps may be the share of a step, ``1/16``, full steps an angle, gears ``80:20``."""
    match value:
        case Number():
            return (_per_turn(role, value),)
        case Fraction(over=over, under=under) if over and under:
            return (under / over if role == "steps.micro" else over / under,)
        case Items(items=items):
            parts = [_value_numbers(role, item) for item in items]
            return tuple(amount for part in parts for amount in part) if all(parts) else ()
    return ()


def _per_turn(role: str | None, number: Number) -> float:
    """The number, turned over where a smaller one means more steps (as in `cfgaudit.facts.inputs`)."""
    amount = number.amount
    if role == "steps.micro" and 0 < amount < 1:
        return 1 / amount
    is_angle = number.dimension is Dimension.ANGLE or 0 < amount < LARGEST_STEP_ANGLE
    return 360 / amount if role == "steps.full" and amount and is_angle else amount


def _amount_numbers(amount: Amount) -> tuple[float, ...]:
    if not isinstance(amount, tuple):
        return (amount,)
    return tuple(number for part in amount for number in _amount_numbers(part))


def said(difference: Difference, unit: str | None) -> str:
    """``44 % higher``, ``11 times as high``; with a unit ``4 mm lower``. Follows "is"."""
    if len(difference.before) != 1:
        return "different"
    old, new = difference.before[0], difference.after[0]
    if unit is not None or old * new <= 0 or old < 0:
        moved = f"{short_number(abs(new - old))} {unit or ''}".rstrip()
        return f"{moved} {'higher' if new > old else 'lower'}"
    if new >= 2 * old:
        return f"{short_number(new / old)} times as high"
    return f"{short_number(abs(new / old - 1) * 100)} % {'higher' if new > old else 'lower'}"


def short_number(number: float) -> str:
    """Two figures, more only before the decimal point."""
    return f"{number:.0f}" if number >= 10 else f"{number:.2g}"
