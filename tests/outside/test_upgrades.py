"""Comparisons against scipy.stats, and against a textbook's worked examples.

The examples are those of D. C. Montgomery, G. C. Runger, Applied Statistics and Probability for Engineers, on
two means with unlike variances (arsenic in the drinking water of two regions) and on the ratio of two
variances (the oxide layers of two gas mixtures), from memory; the sums are worked again in the tests.
"""

from __future__ import annotations

from math import sqrt

import numpy as np
import pytest
from evidence.compared import sampled
from scipy import stats

from cfgaudit.evidence.comparing.quantity import Verdict
from cfgaudit.evidence.comparing.variances import Deviation, compare_deviations
from cfgaudit.evidence.statistics import Difference, summarise, welch

TOWN = [3.0, 7.0, 25.0, 10.0, 15.0, 6.0, 12.0, 25.0, 15.0, 7.0]
COUNTRY = [48.0, 44.0, 40.0, 38.0, 33.0, 21.0, 20.0, 12.0, 1.0, 18.0]


def test_two_regions() -> None:
    """x̄ = 12.5 and 27.5, s = 7.63 and 15.3: error √(5.82 + 23.4) = 5.41, t = 2.77, ν = 13.2.

    Tables give t(0.975; 13) = 2.160 and t(0.975; 14) = 2.145: here ν is not rounded, 2.157.
    """
    found = sampled(TOWN, COUNTRY, unit="ppb", better="lower")
    assert found.before is not None
    assert found.after is not None
    assert found.before.summary[:2] == (10, pytest.approx(12.5))
    assert found.before.summary.spread == pytest.approx(7.63, abs=0.01)
    assert found.after.summary.spread == pytest.approx(15.3, abs=0.06)
    assert isinstance(found.test, Difference)
    error = sqrt(7.63**2 / 10 + 15.35**2 / 10)
    assert found.test.value / error == pytest.approx(2.77, abs=0.01)
    assert (found.test.high - found.test.low) / 2 == pytest.approx(2.157 * error, rel=0.002)
    assert found.verdict is Verdict.WORSE


@pytest.mark.parametrize("seed", range(8))
def test_samples_are_compared_as_scipy_does(seed: int) -> None:
    random = np.random.default_rng(seed)
    before = random.normal(60, 2, random.integers(2, 12)).tolist()
    after = random.normal(60 + seed / 2, 1 + seed / 4, random.integers(2, 12)).tolist()
    found, theirs = sampled(before, after), stats.ttest_ind(after, before, equal_var=False)
    assert isinstance(found.test, Difference)
    assert found.test.chance == pytest.approx(theirs.pvalue, rel=1e-6)
    assert (found.verdict is Verdict.DIFFERENT) == (theirs.pvalue < 0.05)


def test_two_gas_mixtures() -> None:
    """n = 16 each, s = 1.96 and 2.13: f = 0.85 lies between 0.35 and 2.86, F(0.975; 15, 15).

    So nothing is shown. The interval of the ratio of variances is then 0.85 ÷ 2.86 to 0.85 × 2.86.
    """
    found = compare_deviations(Deviation(2.13, 15), Deviation(1.96, 15))
    assert found is not None
    assert found.value**2 == pytest.approx(0.85, abs=0.005)
    assert (found.low**2, found.high**2) == pytest.approx((0.847 / 2.86, 0.847 * 2.86), rel=0.002)
    assert not found.real


@pytest.mark.parametrize(
    ("left", "right"), [((1.0, 5), (2.0, 9)), ((3.0, 20), (0.8, 19)), ((1.0, 1), (1.1, 40))]
)
def test_variances_against_scipys_distribution(left: tuple[float, int], right: tuple[float, int]) -> None:
    found = compare_deviations(Deviation(*left), Deviation(*right))
    assert found is not None
    f, theirs = (right[0] / left[0]) ** 2, stats.f(right[1], left[1])
    assert found.chance == pytest.approx(2 * min(theirs.cdf(f), theirs.sf(f)))
    ends = (f / theirs.ppf(0.975), f / theirs.ppf(0.025))
    assert (found.low**2, found.high**2) == pytest.approx(ends)
    assert found.real == (not ends[0] <= 1 <= ends[1])


@pytest.mark.parametrize("sizes", [(5, 5), (8, 20)])
def test_chance_alone_shows_a_difference_in_one_case_of_twenty(sizes: tuple[int, int]) -> None:
    """Two samples of one normal distribution, 2000 times: 5 % ± 4 standard errors (0.5 %)."""
    random = np.random.default_rng(6)
    means = spreads = 0
    for _ in range(2000):
        left, right = (random.normal(0, 1, size) for size in sizes)
        deviations = [Deviation(float(np.std(one, ddof=1)), len(one) - 1) for one in (left, right)]
        ratio = compare_deviations(*deviations)
        difference = welch(summarise(left.tolist()), summarise(right.tolist()))
        means += difference is not None and difference.real
        spreads += ratio is not None and ratio.real
    assert spreads / 2000 == pytest.approx(0.05, abs=0.02)
    assert means / 2000 == pytest.approx(0.05, abs=0.02)
