"""Whether two standard deviations differ: the F-test of two variances, for what is measured as a spread."""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt
from typing import NamedTuple

from cfgaudit.evidence.records.record import Result
from cfgaudit.evidence.statistics import CONFIDENCE


class Deviation(NamedTuple):
    """A sample standard deviation with its degrees of freedom, n − 1."""

    value: float
    freedom: int


class Ratio(NamedTuple):
    """Deviation after ÷ deviation before with its 95 % confidence interval, and the chance of that."""

    value: float
    low: float
    high: float
    chance: float
    """The two-sided p-value of the F-test."""

    @property
    def real(self) -> bool:
        """Whether chance alone would make it in less than one case of twenty."""
        return self.chance < 1.0 - CONFIDENCE


def pooled_deviation(results: Sequence[Result]) -> Deviation | None:
    """The deviation that several series of readings have in common, √(Σ(n−1)s² ÷ Σ(n−1)).

    Each result's value is the standard deviation of so many samples. None where no series has two readings.
    """
    freedom = sum(one.samples - 1 for one in results)
    if not freedom:
        return None
    return Deviation(sqrt(sum((one.samples - 1) * one.value**2 for one in results) / freedom), freedom)


def compare_deviations(before: Deviation, after: Deviation) -> Ratio | None:
    """The F-test of two variances of normal populations; None where a side has no spread at all.

    F = s₂² ÷ s₁² with n₂ − 1 and n₁ − 1 degrees of freedom; the ratio of the true variances lies between
    F ÷ F(0.975) and F ÷ F(0.025) (any textbook of statistics, such as D. C. Montgomery, G. C. Runger, Applied
    Statistics and Probability for Engineers, on the ratio of two variances, from memory).
    """
    if not before.value or not after.value:
        return None
    from scipy.special import fdtr, fdtrc, fdtri

    value = after.value / before.value
    square, tail = value**2, (1.0 - CONFIDENCE) / 2.0
    freedoms = (after.freedom, before.freedom)
    low, high = (sqrt(square / float(fdtri(*freedoms, share))) for share in (1.0 - tail, tail))
    ends = (float(fdtr(*freedoms, square)), float(fdtrc(*freedoms, square)))
    return Ratio(value, low, high, min(1.0, 2.0 * min(ends)))
