"""Means, spreads and whether two of them differ: what repeated measurements can and cannot say."""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt
from typing import NamedTuple

CONFIDENCE = 0.95


class Summary(NamedTuple):
    """A sample: how many, their mean, and the sample standard deviation (ISO 5725-1: n − 1); None for one."""

    size: int
    mean: float
    spread: float | None


class SpreadInterval(NamedTuple):
    """Between which bounds the true standard deviation lies, with 95 % confidence."""

    low: float
    high: float


class Difference(NamedTuple):
    """After − before with its 95 % confidence interval, and how likely chance alone makes it as large."""

    value: float
    low: float
    high: float
    chance: float
    """The two-sided p-value of Welch's t-test."""

    @property
    def real(self) -> bool:
        """Whether chance alone would make it in less than one case of twenty."""
        return self.chance < 1.0 - CONFIDENCE


class Trend(NamedTuple):
    """A straight line through readings in their order: its slope a reading, and the chance of such a slope."""

    slope: float
    chance: float

    @property
    def real(self) -> bool:
        return self.chance < 1.0 - CONFIDENCE


def summarise(values: Sequence[float]) -> Summary:
    """Raises ValueError for no values."""
    from statistics import fmean, stdev

    if not values:
        raise ValueError("no values")
    return Summary(len(values), fmean(values), stdev(values) if len(values) > 1 else None)


def spread_interval(summary: Summary) -> SpreadInterval | None:
    """s √((n−1) ÷ χ²) at both ends of the χ² distribution with n − 1 degrees of freedom; None for one value.

    Any textbook of statistics, such as D. C. Montgomery, G. C. Runger, Applied Statistics and Probability for
    Engineers, on the variance of a normal population (from memory).
    """
    if summary.spread is None:
        return None
    from scipy.stats import chi2

    freedom, tail = summary.size - 1, (1.0 - CONFIDENCE) / 2.0
    ends = (float(chi2.ppf(1.0 - tail, freedom)), float(chi2.ppf(tail, freedom)))
    return SpreadInterval(*(summary.spread * sqrt(freedom / end) for end in ends))


def welch(before: Summary, after: Summary) -> Difference | None:
    """Whether two means differ, their spreads being unlike (B. L. Welch, Biometrika 34 (1947) 28-35, from memory).

    t = (x̄₂ − x̄₁) ÷ √(s₁²/n₁ + s₂²/n₂), with ν = (s₁²/n₁ + s₂²/n₂)² ÷ Σ (s²/n)² ÷ (n − 1) degrees of freedom.
    None where either is a single value, or both have no spread at all: then nothing can be said.
    """
    if before.spread is None or after.spread is None:
        return None
    from scipy.stats import t

    shares = (before.spread**2 / before.size, after.spread**2 / after.size)
    error = sqrt(sum(shares))
    if not error:
        return None
    parts = shares[0] ** 2 / (before.size - 1) + shares[1] ** 2 / (after.size - 1)
    freedom, value = sum(shares) ** 2 / parts, after.mean - before.mean
    reach = float(t.ppf(0.5 + CONFIDENCE / 2.0, freedom)) * error
    return Difference(value, value - reach, value + reach, float(2.0 * t.sf(abs(value) / error, freedom)))


def trend(values: Sequence[float]) -> Trend | None:
    """The drift in a series of readings; None for fewer than three, or where all are equal."""
    if len(values) < 3 or min(values) == max(values):
        return None
    from scipy.stats import linregress

    fit = linregress(range(len(values)), values)
    return Trend(float(fit.slope), float(fit.pvalue))


def outliers(values: Sequence[float]) -> tuple[int, ...]:
    """Where values lie far off: more than 3.5 robust deviations from the median, counted from 0.

    The modified z-score 0.6745 (x − median) ÷ MAD of B. Iglewicz, D. C. Hoaglin, How to Detect and Handle Outliers
    (1993), as NIST's handbook gives it (from memory). None where half of all values are equal.
    """
    from statistics import median

    middle = median(values)
    deviation = median(abs(value - middle) for value in values)
    if not deviation:
        return ()
    return tuple(at for at, value in enumerate(values) if 0.6745 * abs(value - middle) / deviation > 3.5)
