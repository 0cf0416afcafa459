"""What the picture of an upgrade shows of one quantity: both sides on one scale, and words."""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt
from textwrap import wrap
from typing import NamedTuple

from cfgaudit.evidence.comparing.quantity import Measured, Quantity, Verdict
from cfgaudit.evidence.statistics import CONFIDENCE, Summary, spread_interval
from cfgaudit.history.upgrade import Upgrade
from cfgaudit.report.comparison_amounts import PER_CENT, scale_of, values
from cfgaudit.report.comparison_words import conclusion, title
from cfgaudit.report.lines import one_line

LARGEST = 1e6
"""Per cent. What is farther off makes the rest of a picture a dot."""
LETTERS, LINES = 44, 4
"""Of a row's words: letters a line, and lines at most."""
NO_SHARE = "that cannot be given in per cent"


class Bar(NamedTuple):
    """One side of a row, as drawn; bounds where it was measured more than once."""

    value: float
    low: float | None
    high: float | None


class Row(NamedTuple):
    """One quantity, as drawn."""

    quantity: Quantity
    before: Bar
    after: Bar
    left: str
    """Its name."""
    right: str
    """What is said of it."""

    @property
    def lines(self) -> int:
        """Of words, whichever side has more."""
        return 1 + max(self.left.count("\n"), self.right.count("\n"))


def row_of(quantity: Quantity, upgrade: Upgrade) -> Row | None:
    """None where a side is missing, or no scale can show it."""
    if quantity.before is None or quantity.after is None or quantity.change is None:
        return None
    if (scale := _scale_of(quantity)) is None:
        return None
    bars = _bar(quantity.before, scale), _bar(quantity.after, scale)
    if any(abs(edge or 0.0) >= LARGEST for bar in bars for edge in bar):
        return None
    said = f"{folded(values(quantity))}\n{folded(conclusion(quantity, upgrade))}"
    return Row(quantity, *bars, folded(title(quantity)), said)


def _scale_of(quantity: Quantity) -> float | None:
    """By what a value is multiplied; None where it is no percentage, and none of what was before."""
    scale = scale_of(quantity)
    if scale.unit == PER_CENT:
        return scale.factor
    before = quantity.before
    return None if quantity.relative is None or before is None else 100.0 / before.summary.mean


def is_percentage(row: Row) -> bool:
    """Whether a row shows percentages as they are."""
    return scale_of(row.quantity).unit == PER_CENT


def left_out(quantities: Sequence[Quantity], drawn: Sequence[Quantity]) -> str:
    """How many are not drawn, and why: ``not drawn: 21 measured before only``; empty where all are."""
    reasons = [_why_not(one) for one in quantities if one not in drawn]
    told = "; ".join(f"{reasons.count(reason)} {reason}" for reason in dict.fromkeys(reasons))
    return f"not drawn: {told}" if told else ""


def _why_not(one: Quantity) -> str:
    one_sided = one.before is None or one.after is None
    return str(one.verdict) if one_sided or one.verdict is Verdict.UNLIKE else NO_SHARE


def folded(text: str) -> str:
    """A text in lines of so many letters, in which the drawing library sees no formulas."""
    return "\n".join(wrap(as_is(text), LETTERS, max_lines=LINES, placeholder=" …") or [""])


def as_is(text: str) -> str:
    """A text on one line in which the drawing library sees no formulas."""
    return one_line(text).replace("$", r"\$")


def interval(side: Measured) -> tuple[float, float] | None:
    """The 95 % confidence interval of a side's mean, x̄ ± t s ÷ √n, or of its deviation; None of one value."""
    if side.deviation is not None:
        bounds = spread_interval(Summary(side.deviation.freedom + 1, 0.0, side.deviation.value))
        return None if bounds is None else (bounds.low, bounds.high)
    size, mean, spread = side.summary
    if spread is None:
        return None
    from scipy.special import stdtrit

    reach = float(stdtrit(size - 1, 0.5 + CONFIDENCE / 2.0)) * spread / sqrt(size)
    return mean - reach, mean + reach


def _bar(side: Measured, scale: float) -> Bar:
    bounds = interval(side)
    low, high = (None, None) if bounds is None else sorted(scale * one for one in bounds)
    return Bar(scale * side.summary.mean, low, high)
