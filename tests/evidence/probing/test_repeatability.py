"""Repeatability: the numbers, what they are called, and what the settings say of them."""

from __future__ import annotations

import random
from statistics import fmean, stdev

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from cfgaudit.evidence.probing.repeatability import (
    Grade,
    Sets,
    Settings,
    repeatability,
    repeatability_results,
)

HERON = Settings(step=0.00125, tolerance=0.006, touches=3)


def normal(spread: float, size: int = 30) -> list[float]:
    """Readings with exactly this sample standard deviation."""
    values = [random.Random(at).gauss(0, 1) for at in range(size)]
    middle, wide = fmean(values), stdev(values)
    return [1.85 + (value - middle) / wide * spread for value in values]


def test_an_ordinary_good_result_is_called_good() -> None:
    """0.0008 mm of standard deviation: common practice, no source."""
    found = repeatability(normal(0.0008), HERON)
    assert found.grade is Grade.GOOD
    assert found.spread == pytest.approx(0.0008)


@pytest.mark.parametrize(("spread", "grade"), [(0.0, Grade.GOOD), (0.003, Grade.FAIR), (0.02, Grade.COARSE)])
def test_grades(spread: float, grade: Grade) -> None:
    assert repeatability(normal(spread)).grade is grade


@pytest.mark.parametrize(("size", "doubtful"), [(2, True), (5, True), (10, False), (30, False)])
def test_few_readings_leave_a_doubt(size: int, doubtful: bool) -> None:
    """0.0008 mm from 5 readings: χ²(0.025; 4) = 0.4844 by tables, so up to 0.0023 mm, which is not good."""
    found = repeatability(normal(0.0008, size))
    assert found.doubtful is doubtful
    if size == 5:
        assert found.interval.high == pytest.approx(0.0008 * (4 / 0.4844) ** 0.5, rel=1e-3)


def test_one_reading_is_none() -> None:
    with pytest.raises(ValueError, match="two readings"):
        repeatability([1.0])


def test_equal_readings() -> None:
    found = repeatability([1.85] * 6, HERON)
    assert (found.spread, found.range, found.drift, found.far_off) == (0.0, 0.0, None, ())
    assert found.interval == (0.0, 0.0)


def test_readings_on_the_steps_of_z_are_not_far_off() -> None:
    assert repeatability([1.85] * 9 + [1.85125], HERON).far_off == ()
    assert repeatability([1.85] * 9 + [1.87], HERON).far_off == (10,)


def test_sets_are_as_many_as_the_probe_touches() -> None:
    """Of 1, 2, 3, 9, 4 (µm) in threes: 1-2-3 spans 2, 2-3-9 spans 7, 3-9-4 spans 6, which 6 allows."""
    found = repeatability([0.001, 0.002, 0.003, 0.009, 0.004], HERON)
    assert found.sets == Sets(3, 3, 1)


NO_SETS = [
    Settings(),
    Settings(tolerance=0.006),
    Settings(tolerance=0.0, touches=3),
    Settings(touches=3),
    Settings(tolerance=0.006, touches=1),
    Settings(tolerance=0.006, touches=31),
]


@pytest.mark.parametrize("settings", NO_SETS)
def test_no_sets_where_nothing_says_how_many(settings: Settings) -> None:
    assert repeatability(normal(0.001), settings).sets is None


def test_what_a_record_keeps() -> None:
    kept = {one.name: one for one in repeatability_results(repeatability(normal(0.0008, 20)))}
    assert list(kept) == ["mean", "standard deviation", "range", "drift"]
    assert {one.unit for one in kept.values()} == {"mm"}
    assert {one.samples for one in kept.values()} == {20}
    assert kept["standard deviation"].value == pytest.approx(0.0008)
    assert kept["mean"].spread == pytest.approx(0.0008)
    assert kept["mean"].value == pytest.approx(1.85)


def test_two_readings_keep_no_drift() -> None:
    kept = [one.name for one in repeatability_results(repeatability([1.0, 1.001]))]
    assert kept == ["mean", "standard deviation", "range"]


@given(st.lists(st.floats(-900, 900), min_size=2, max_size=30), st.floats(1e-6, 1.0), st.integers(1, 12))
@example([0.0, 0.7550832276209645], 0.7550832276209645, 2)
def test_any_readings(values: list[float], tolerance: float, touches: int) -> None:
    found = repeatability(values, Settings(0.00125, tolerance, touches))
    assert found.low <= found.high
    assert found.interval.low <= found.spread + 1e-12
    if found.sets is not None and found.range <= tolerance:
        assert found.sets.beyond == 0
