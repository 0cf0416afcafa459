"""Means, spreads and whether two of them differ: what repeated measurements can and cannot say.

The distributions come from scipy.special, which loads in a fraction of the time of scipy.stats.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import fsum, sqrt
from typing import NamedTuple

CONFIDENCE = 0.95
FAR_OFF = 3.5
"""Robust deviations from the median beyond which a value counts as an outlier."""
FAR_OFF_BY_CHANCE = 0.01
"""In one of so many samples chance alone may put a value so far off that it is named (common practice, no
source)."""
ENOUGH_FOR_OUTLIERS = 5
"""With fewer values nothing tells which of them is the odd one."""


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
    """A straight line through readings in their order: its slope a reading, and the chance of such one."""

    slope: float
    chance: float
    """The two-sided p-value of the slope, if there were no trend."""

    @property
    def real(self) -> bool:
        """Whether chance alone would make it in less than one case of twenty."""
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
    from scipy.special import chdtri

    freedom, tail = summary.size - 1, (1.0 - CONFIDENCE) / 2.0
    ends = (float(chdtri(freedom, tail)), float(chdtri(freedom, 1.0 - tail)))
    return SpreadInterval(*(summary.spread * sqrt(freedom / end) for end in ends))


def welch(before: Summary, after: Summary) -> Difference | None:
    """Whether two means differ, their spreads being unlike: Welch's t-test.

    t = (x̄₂ − x̄₁) ÷ √(s₁²/n₁ + s₂²/n₂), with ν = (s₁²/n₁ + s₂²/n₂)² ÷ Σ (s²/n)² ÷ (n − 1) degrees of freedom
    (B. L. Welch, Biometrika 34 (1947) 28-35, from memory). None where either is a single value, or both have
    no spread at all: then nothing can be said.
    """
    if before.spread is None or after.spread is None:
        return None
    shares = (before.spread**2 / before.size, after.spread**2 / after.size)
    error = sqrt(sum(shares))
    if not error:
        return None
    from scipy.special import stdtrit

    # as shares of their sum: squares of very small spreads would be 0
    parts = [
        (share / sum(shares)) ** 2 / (one.size - 1)
        for share, one in zip(shares, (before, after), strict=True)
    ]
    freedom, value = 1.0 / sum(parts), after.mean - before.mean
    reach = float(stdtrit(freedom, 0.5 + CONFIDENCE / 2.0)) * error
    return Difference(value, value - reach, value + reach, _chance(value / error, freedom))


def _chance(t: float, freedom: float) -> float:
    """The two-sided p-value of Student's t."""
    from scipy.special import stdtr

    return float(2.0 * stdtr(freedom, -abs(t)))


def trend(values: Sequence[float]) -> Trend | None:
    """The drift in a series of readings; None for fewer than three, or where all are equal.

    Least squares: b = Sxy ÷ Sxx, and t = b ÷ √(Σe² ÷ (n − 2) ÷ Sxx) with n − 2 degrees of freedom (any
    textbook on simple linear regression, such as Montgomery and Runger, from memory).
    """
    size = len(values)
    if size < 3 or min(values) == max(values):
        return None
    low = min(values)
    scale = max(values) - low
    offsets = [at - (size - 1) / 2.0 for at in range(size)]
    heights = [(value - low) / scale for value in values]
    middle = fsum(heights) / size
    heights = [height - middle for height in heights]
    across = fsum(x * x for x in offsets)
    slope = fsum(x * y for x, y in zip(offsets, heights, strict=True)) / across
    misses = fsum((y - slope * x) ** 2 for x, y in zip(offsets, heights, strict=True))
    error = sqrt(misses / (size - 2) / across)
    return Trend(slope * scale, _chance(slope / error, size - 2) if error else 0.0)


def outliers(values: Sequence[float], *, grain: float = 0.0) -> tuple[int, ...]:
    """Where values lie far off, counted from 0: more than 3.5 robust deviations from the median.

    The modified z-score 0.6745 (x − median) ÷ MAD of B. Iglewicz, D. C. Hoaglin, How to Detect and Handle
    Outliers (1993), as the NIST/SEMATECH handbook of statistical methods gives it, 1.3.5.17 (from memory).
    Where half of all values are equal MAD is 0, and the mean absolute deviation × 1.2533 takes its place (the
    same for a normal distribution). ``grain``: what lies no farther from the median than that is no outlier,
    because the values come in steps of that order. None among fewer than five.
    """
    from statistics import median

    if len(values) < ENOUGH_FOR_OUTLIERS:
        return ()
    middle = median(values)
    away = [abs(value - middle) for value in values]
    deviation = median(away) / 0.6745 or 1.2533 * fsum(away) / len(away)
    return tuple(at for at, one in enumerate(away) if one > max(grain, FAR_OFF * deviation))


def far_off(values: Sequence[float], *, grain: float = 0.0) -> tuple[int, ...]:
    """Of `outliers` those that chance hardly makes: in small samples the label alone is no proof.

    Each is held against the others that have no label by Student's t of a further observation,
    |x − x̄| ÷ s √(1 + 1/k) with k − 1 degrees of freedom, its chance times the number of all values
    (Bonferroni). For a single outlier that is the test of F. E. Grubbs, Technometrics 11 (1969) 1-21 (from
    memory).
    """
    labelled = outliers(values, grain=grain)
    named = set(labelled)
    rest = summarise([value for at, value in enumerate(values) if at not in named])
    if not labelled or not rest.spread:
        return labelled
    error, freedom = rest.spread * sqrt(1.0 + 1.0 / rest.size), rest.size - 1
    chances = {at: len(values) * _chance((values[at] - rest.mean) / error, freedom) for at in labelled}
    return tuple(at for at, chance in chances.items() if chance < FAR_OFF_BY_CHANCE)
