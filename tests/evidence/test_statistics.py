"""Means, spreads, differences, trends and outliers: what can and what cannot be said."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cfgaudit.evidence.statistics import (
    Difference,
    Summary,
    far_off,
    outliers,
    spread_interval,
    summarise,
    trend,
    welch,
)

NUMBERS = st.lists(st.floats(-1000, 1000, allow_subnormal=True), min_size=1, max_size=40)


def test_one_value_has_no_spread() -> None:
    assert summarise([3.0]) == Summary(1, 3.0, None)
    assert spread_interval(summarise([3.0])) is None


def test_no_values_are_no_sample() -> None:
    with pytest.raises(ValueError, match="no values"):
        summarise([])


@pytest.mark.parametrize(
    ("before", "after"), [([1.0], [1.0, 2.0]), ([1.0, 2.0], [1.0]), ([1.0, 1.0], [2.0, 2.0])]
)
def test_single_values_and_values_without_spread_say_nothing(before: list[float], after: list[float]) -> None:
    assert welch(summarise(before), summarise(after)) is None


def test_one_side_without_spread_is_compared() -> None:
    found = welch(summarise([1.0, 1.0, 1.0]), summarise([2.0, 2.1, 1.9]))
    assert found is not None
    assert found.real


def test_a_difference_is_real_below_one_in_twenty() -> None:
    assert Difference(1.0, 0.1, 1.9, 0.049).real
    assert not Difference(1.0, -0.1, 2.1, 0.051).real


@pytest.mark.parametrize("values", [[1.0], [1.0, 2.0], [4.0, 4.0, 4.0, 4.0]])
def test_few_or_equal_values_have_no_trend(values: list[float]) -> None:
    assert trend(values) is None


def test_a_straight_line_is_a_trend_beyond_doubt() -> None:
    found = trend([0.0, 0.5, 1.0, 1.5])
    assert found is not None
    assert found.slope == pytest.approx(0.5)
    assert found.real


def test_the_odd_one_among_equal_ones_lies_far_off() -> None:
    assert outliers([1.0] * 9 + [1.5]) == (9,)


def test_one_step_of_the_grain_is_not_far_off() -> None:
    assert outliers([1.0] * 9 + [1.00125], grain=0.0025) == ()
    assert outliers([1.0] * 9 + [1.01], grain=0.0025) == (9,)


def test_among_a_few_none_is_the_odd_one() -> None:
    assert outliers([1.0, 1.0, 1.0, 9.0]) == ()


@given(NUMBERS)
def test_any_numbers(values: list[float]) -> None:
    summary = summarise(values)
    assert min(values) - 1e-9 <= summary.mean <= max(values) + 1e-9
    interval = spread_interval(summary)
    if interval is not None and summary.spread:
        assert interval.low <= summary.spread <= interval.high
    found = trend(values)
    if found is not None:
        assert math.isfinite(found.slope)
        assert 0.0 <= found.chance <= 1.0
    far = outliers(values)
    assert all(0 <= at < len(values) for at in far)
    assert len(far) <= len(values) / 2
    assert set(far_off(values)) <= set(far)


@given(NUMBERS, NUMBERS)
def test_a_difference_turns_round_with_its_sides(before: list[float], after: list[float]) -> None:
    one, other = welch(summarise(before), summarise(after)), welch(summarise(after), summarise(before))
    assert (one is None) == (other is None)
    if one is not None and other is not None:
        assert one.value == pytest.approx(-other.value, abs=1e-9)
        assert one.chance == pytest.approx(other.chance)
        assert one.low <= one.value <= one.high
