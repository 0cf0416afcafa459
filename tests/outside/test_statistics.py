"""Statistics against scipy.stats, published tables, and sums worked by hand from textbooks' formulas.

The t-test: B. L. Welch, Biometrika 34 (1947) 28-35. The example with known n, mean and s is of the kind that
any textbook has (the numbers are made up here, the sums are worked in the test). The χ² values are those of
the tables at the end of any textbook of statistics. Outliers: NIST/SEMATECH e-Handbook of Statistical
Methods, 1.3.5.17. All from memory.
"""

from __future__ import annotations

from math import sqrt

import numpy as np
import pytest
from scipy import stats

from cfgaudit.evidence.statistics import Summary, far_off, outliers, spread_interval, summarise, trend, welch

SEEDS = range(12)


def samples(seed: int) -> tuple[list[float], list[float]]:
    random = np.random.default_rng(seed)
    sizes = random.integers(2, 25, 2)
    left, right = random.normal(50, 1 + seed, sizes[0]), random.normal(50 + seed / 3, 2, sizes[1])
    return left.tolist(), right.tolist()


@pytest.mark.parametrize("seed", SEEDS)
def test_welch_is_scipys_t_test_with_unlike_variances(seed: int) -> None:
    before, after = samples(seed)
    ours = welch(summarise(before), summarise(after))
    theirs = stats.ttest_ind(after, before, equal_var=False)
    assert ours is not None
    assert ours.chance == pytest.approx(theirs.pvalue, rel=1e-9)
    interval = theirs.confidence_interval(0.95)
    assert (ours.low, ours.high) == pytest.approx((interval.low, interval.high), rel=1e-7)


def test_welch_by_hand() -> None:
    """n = 10, x̄ = 12.5, s = 2 against n = 15, x̄ = 10.0, s = 3.

    s²/n are 0.4 and 0.6, so the error is 1.0 and t = 2.5; ν = 1² ÷ (0.16/9 + 0.36/14) = 1 ÷ 0.043492 = 22.99;
    tables give t(0.975; 23) = 2.069 and for 2.500 a two-sided 0.02 (t(0.99; 23) = 2.500).
    """
    found = welch(Summary(15, 10.0, 3.0), Summary(10, 12.5, 2.0))
    assert found is not None
    assert found.value == 2.5
    assert (found.high - found.low) / 2 == pytest.approx(2.069, abs=0.001)
    assert found.chance == pytest.approx(0.02, abs=0.0002)
    assert found.real


def test_welch_of_five_and_five_by_hand() -> None:
    """1..5 against 3..7: both s² = 2.5, error √(0.5 + 0.5) = 1, t = 2, ν = 8; t(0.975; 8) = 2.306."""
    found = welch(summarise([1, 2, 3, 4, 5]), summarise([3, 4, 5, 6, 7]))
    assert found is not None
    assert (found.low, found.high) == pytest.approx((2 - 2.306, 2 + 2.306), abs=0.001)
    assert not found.real


@pytest.mark.parametrize("size", [2, 3, 5, 10, 20, 100, 1000])
def test_the_interval_of_a_spread_is_that_of_scipys_chi_square(size: int) -> None:
    found = spread_interval(Summary(size, 0.0, 1.7))
    assert found is not None
    low, high = (1.7 * sqrt((size - 1) / stats.chi2.ppf(at, size - 1)) for at in (0.975, 0.025))
    assert (found.low, found.high) == pytest.approx((low, high), rel=1e-9)


def test_the_interval_of_a_spread_from_the_table() -> None:
    """χ² with 9 degrees of freedom: 19.023 at 0.975 and 2.700 at 0.025, in every table."""
    found = spread_interval(Summary(10, 0.0, 1.0))
    assert found is not None
    assert found.low == pytest.approx(sqrt(9 / 19.023), rel=1e-4)
    assert found.high == pytest.approx(sqrt(9 / 2.700), rel=1e-3)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_trend_is_scipys_regression(seed: int) -> None:
    values = [one for side in samples(seed) for one in side]
    ours, theirs = trend(values), stats.linregress(range(len(values)), values)
    assert ours is not None
    assert ours.slope == pytest.approx(theirs.slope, rel=1e-9)
    assert ours.chance == pytest.approx(theirs.pvalue, rel=1e-7)


def test_a_trend_by_hand() -> None:
    """1, 3, 2, 4: Sxx = 5, Sxy = 4, b = 0.8; Σe² = 5 − 16/5 = 1.8, s_b = √(0.9/5) = 0.42426, t = 1.8856.

    With two degrees of freedom the p-value is 1 − t ÷ √(2 + t²) = 1 − 1.8856 ÷ 2.3570 = 0.2.
    """
    found = trend([1, 3, 2, 4])
    assert found is not None
    assert found.slope == pytest.approx(0.8)
    assert found.chance == pytest.approx(0.2, abs=1e-6)
    assert not found.real


def test_outliers_as_nists_handbook_describes_them() -> None:
    """M = 0.6745 (x − median) ÷ MAD, and what has |M| > 3.5 is labelled.

    The median of 2.1 … 2.9 and 9.0 is 2.5 and MAD is 0.2, so M of 9.0 is 21.9; M is 3.5 at 2.5 ± 1.0378.
    """
    values = [2.1, 2.3, 2.4, 2.5, 2.6, 2.7, 2.9, 9.0, 2.2]
    deviation = stats.median_abs_deviation(values)
    scores = 0.6745 * np.abs(np.array(values) - np.median(values)) / deviation
    assert outliers(values) == tuple(np.flatnonzero(scores > 3.5)) == (7,)


def test_where_an_outlier_begins() -> None:
    """Median 0 and MAD 1: the score is 3.5 at 5.189."""
    assert outliers([-2, -1, 0, 0, 1, 2, 1, -1, 5.18]) == ()
    assert outliers([-2, -1, 0, 0, 1, 2, 1, -1, 5.20]) == (8,)


@pytest.mark.parametrize("size", [5, 8, 10, 20, 60])
@pytest.mark.parametrize("factor", [0.98, 1.02])
def test_a_single_odd_one_is_what_grubbs_test_rejects(size: int, factor: float) -> None:
    """G = |x − x̄| ÷ s against (n − 1) ÷ √n √(t² ÷ (n − 2 + t²)), t of n − 2 degrees of freedom at 0.01 ÷ 2n,
    as the NIST/SEMATECH handbook has it, 1.3.5.17.1 (from memory); t from scipy.stats."""
    t = stats.t.isf(0.01 / (2 * size), size - 2)
    bound = (size - 1) / np.sqrt(size) * np.sqrt(t**2 / (size - 2 + t**2))
    others = stats.norm.ppf((np.arange(size - 1) + 0.5) / (size - 1))

    def grubbs(value: float) -> float:
        every = np.append(others, value)
        return float(abs(value - every.mean()) / every.std(ddof=1))

    low, high = 0.0, 1e6
    for _ in range(200):
        middle = (low + high) / 2
        low, high = (middle, high) if grubbs(middle) < bound else (low, middle)
    values = [*others.tolist(), float(low * factor)]
    assert far_off(values) == ((size - 1,) if factor > 1 else ())


@pytest.mark.parametrize("size", [5, 10, 20, 50])
def test_ordinary_readings_are_seldom_called_odd(size: int) -> None:
    """In 600 samples of a normal distribution, of which one in a hundred may be; the label alone is given to
    one in ten or more (simulated)."""
    random = np.random.default_rng(size)
    found = [bool(far_off(random.normal(0, 1, size).tolist())) for _ in range(600)]
    assert np.mean(found) < 0.06


def test_normal_readings_have_hardly_any_outliers() -> None:
    """Of a normal distribution 0.05 % lie beyond 3.5 σ."""
    values = np.random.default_rng(5).normal(0, 1, 20_000).tolist()
    assert len(outliers(values)) < 30
