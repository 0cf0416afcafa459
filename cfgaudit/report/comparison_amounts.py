"""The numbers of a comparison for people: in units that need no row of zeros, with digits that say something.

Only what is shown is scaled; JSON keeps the units that were recorded.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import floor, isfinite, log10
from typing import NamedTuple

from cfgaudit.checks.rule import format_amount
from cfgaudit.evidence.comparing.quantity import Quantity, Verdict, shown_in_per_cent
from cfgaudit.evidence.comparing.sides import same_unit
from cfgaudit.evidence.comparing.variances import Ratio
from cfgaudit.report.lines import one_line
from cfgaudit.report.result_words import DEGREE, FINE, MICROMETRES

PER_CENT = "%"
POINTS = "points"
"""Of a difference of two percentages."""
SMALLEST = 1e-9
"""What is smaller is written with an exponent."""
MORE = 3
"""Decimals at most that are added to tell two numbers apart."""
BLURRED = 0.2
"""The share of a difference that rounding may take or add."""
ALIKE = 0.01
"""The share of the larger number below which two are of other orders."""
LARGE = 1e9
LARGEST = 1e15
"""Beyond, nobody counts digits: it is written with an exponent."""
FACTOR_FROM = 9.0
"""Times the value before, as a gain, from which a percentage is harder to grasp than a factor."""
LARGEST_SHARE = 1e4
"""Times the value before. Beyond, neither says anything."""


class Scale(NamedTuple):
    """How a number is shown: times a factor, in a unit."""

    factor: float
    unit: str


def amount_text(amount: float, unit: str = "") -> str:
    """A number for people with its unit: four significant digits, a true minus."""
    size = abs(amount)
    if SMALLEST <= size < 1e-4:
        told = f"{size:.{3 - floor(log10(size))}f}".rstrip("0")
    else:
        told = format_amount(size) if size < LARGEST else f"{size:.3g}"
    told = f"−{told}" if amount < 0 else told
    return told if unit == "1" else _with_unit(told, one_line(unit))


def signed(amount: float, unit: str = "", digits: int = 3) -> str:
    """As `amount_text`, and with its sign."""
    shown = rounded(amount, digits)
    return f"+{amount_text(shown, unit)}" if shown > 0 else amount_text(shown, unit)


def rounded(amount: float, digits: int) -> float:
    """To so many significant digits; the largest numbers there are stay as they are."""
    found = float(f"{amount:.{digits}g}")
    return found if isfinite(found) else amount


def values(quantity: Quantity) -> str:
    """``48.2 → 61.3 Hz``; one side alone where the other was not measured."""
    before, after = quantity.before, quantity.after
    if before is None or after is None:
        side = before or after
        if side is None:
            return ""
        scale = scale_of(quantity)
        return amount_text(scale.factor * side.summary.mean, scale.unit)
    if quantity.verdict is Verdict.UNLIKE and not same_unit(before.unit, after.unit):
        sides = (amount_text(side.summary.mean, side.unit) for side in (before, after))
        return " → ".join(sides)
    scale = scale_of(quantity)
    old, new = _alike([scale.factor * side.summary.mean for side in (before, after)])
    return (
        f"{_with_unit(new, scale.unit)} as before" if old == new else f"{old} → {_with_unit(new, scale.unit)}"
    )


def sides_text(quantity: Quantity) -> tuple[str, ...]:
    """Both sides with their unit; empty where one was not measured."""
    sides = quantity.before, quantity.after
    there = [side for side in sides if side is not None]
    if quantity.verdict is Verdict.UNLIKE:
        return tuple(amount_text(side.summary.mean, side.unit) for side in there)
    scale = scale_of(quantity)
    told = iter(_alike([scale.factor * side.summary.mean for side in there]))
    return tuple("" if side is None else _with_unit(next(told), scale.unit) for side in sides)


def _with_unit(told: str, unit: str) -> str:
    return f"{told}{unit}" if unit == DEGREE else f"{told} {unit}".rstrip()


def _alike(numbers: Sequence[float]) -> list[str]:
    """Numbers that a reader compares, with the same decimals: the larger one has four digits from 1 on, three
    below, and more where else their difference would look another one. Numbers of other orders get their own.
    """
    sizes = [abs(number) for number in numbers]
    if not SMALLEST <= max(sizes) < LARGE or 0.0 < min(sizes) < ALIKE * max(sizes):
        return [amount_text(number) for number in numbers]
    decimals = max(0, (3 if max(sizes) >= 1.0 else 2) - floor(log10(max(sizes))))
    decimals += next(more for more in range(MORE + 1) if more == MORE or _keeps(numbers, decimals + more))
    told = [f"{abs(number):.{decimals}f}" for number in numbers]
    if decimals:
        spare = min(len(one) - len(one.rstrip("0")) for one in told)
        told = [one[: len(one) - min(spare, decimals)].rstrip(".") for one in told]
    return [
        f"−{one}" if number < 0 and float(one) else one for one, number in zip(told, numbers, strict=True)
    ]


def _keeps(numbers: Sequence[float], decimals: int) -> bool:
    """Whether so many decimals leave the difference about what it is."""
    apart = numbers[-1] - numbers[0]
    shown = round(numbers[-1], decimals) - round(numbers[0], decimals)
    return abs(shown - apart) <= BLURRED * abs(apart)


def scale_of(quantity: Quantity) -> Scale:
    """How the values of a quantity are shown."""
    sides = [side for side in (quantity.before, quantity.after) if side is not None]
    if shown_in_per_cent(quantity):
        return Scale(100.0, PER_CENT)
    if quantity.verdict is Verdict.UNLIKE:
        return Scale(1.0, quantity.unit)
    return _scale(max((abs(side.summary.mean) for side in sides), default=0.0), quantity.unit)


def scale_of_change(quantity: Quantity) -> Scale:
    """How the difference of a quantity is shown."""
    scale = scale_of(quantity)
    if scale.unit == PER_CENT:
        return Scale(scale.factor, POINTS)
    if quantity.change is None or scale.factor != 1.0:
        return scale
    return _scale(abs(quantity.change), quantity.unit)


def _scale(size: float, unit: str) -> Scale:
    if same_unit(unit, "mm") and 0 < size < FINE:
        return Scale(MICROMETRES, "µm")
    return Scale(1.0, DEGREE if unit == "deg" else "" if unit == "1" else one_line(unit))


def change_text(quantity: Quantity) -> str:
    """``+13.1 Hz, +27 %``; ``+13.1 ± 0.8 Hz, +27 %`` with 95 % confidence where it was tested; empty where
    there is nothing to compare. Of percentages in points."""
    if quantity.change is None or (not quantity.change and quantity.test is None):
        return ""
    share = share_text(quantity)
    if isinstance(quantity.test, Ratio):
        share = f"{share or _factor(quantity.test.value)} ({_bounds(quantity.test)})"
    told = _difference(quantity, quantity.change)
    return f"{told}, {share}" if share else told


def size_text(quantity: Quantity) -> str:
    """How large a difference is, in one number: ``+27 %``; where a share says nothing ``+10.8 points``."""
    if share := share_text(quantity):
        return share
    scale = scale_of_change(quantity)
    return signed(scale.factor * (quantity.change or 0.0), scale.unit)


def _difference(quantity: Quantity, change: float) -> str:
    """With its confidence interval where it has one, to two digits of that."""
    scale = scale_of_change(quantity)
    if quantity.test is None or isinstance(quantity.test, Ratio):
        return signed(scale.factor * change, scale.unit)
    reach = scale.factor * (quantity.test.high - quantity.test.low) / 2.0
    shown = scale.factor * change
    decimals = 2 if reach <= 0 else max(0, min(12, 1 - floor(log10(reach))))
    middle, wide = f"{abs(round(shown, decimals)):.{decimals}f}", f"{reach:.{decimals}f}"
    if max(abs(shown), reach) >= LARGE or reach < SMALLEST:
        middle, wide = f"{abs(shown):.3g}", f"{reach:.2g}"
    sign = "" if not float(middle) else "+" if shown > 0 else "−"
    space = "" if scale.unit in ("", DEGREE) else " "
    return f"{sign}{middle} ± {wide}{space}{scale.unit}"


def _bounds(test: Ratio) -> str:
    """Between which bounds the true share lies: ``−75 to −37 %``."""
    low, high = (100.0 * (bound - 1.0) for bound in (test.low, test.high))
    if high > 100.0 * FACTOR_FROM:
        return f"× {amount_text(rounded(test.low, 2))} to {amount_text(rounded(test.high, 2))}"
    return f"{signed(low, digits=2)} to {signed(high, PER_CENT, 2)}"


def _factor(ratio: float) -> str:
    return f"× {amount_text(rounded(ratio, 2))}"


def share_text(quantity: Quantity) -> str:
    """``+27 %``; empty where a share of the value before says nothing, as of a percentage."""
    share = quantity.relative
    if share is None or scale_of(quantity).unit == PER_CENT or abs(share) > LARGEST_SHARE:
        return ""
    return growth_text(share)


def growth_text(share: float) -> str:
    """``+27 %``, ``−0.4 %``; of what grew many times ``× 12``."""
    if share >= FACTOR_FROM:
        return _factor(1.0 + share)
    hundredths = 100.0 * share
    return f"{signed(rounded(hundredths, 2) if abs(hundredths) < 100 else round(hundredths))} %"
