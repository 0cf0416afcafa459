"""The formulas of motion: how their results hang together, and what they refuse."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cfgaudit.physics.motion import (
    diagonal_belt_speed,
    full_steps_from_angle,
    ramp_distance,
    reachable_speed,
    step_rate,
    step_size,
    steps_per_mm,
    stop_distance,
)

COUNTS = st.integers(min_value=1, max_value=400)
MICROSTEPS = st.sampled_from([1, 2, 4, 8, 16, 32, 64, 128])
LENGTHS = st.floats(min_value=0.1, max_value=200.0)
RATIOS = st.floats(min_value=0.1, max_value=20.0)


@given(full=COUNTS, micro=MICROSTEPS, turn=LENGTHS, gear=RATIOS)
def test_twice_the_microsteps_halve_the_step_size(full: int, micro: int, turn: float, gear: float) -> None:
    coarse = steps_per_mm(full_steps=full, microsteps=micro, travel_per_turn=turn, gear_ratio=gear)
    fine = steps_per_mm(full_steps=full, microsteps=2 * micro, travel_per_turn=turn, gear_ratio=gear)
    assert step_size(fine) == pytest.approx(step_size(coarse) / 2)


@given(full=COUNTS, micro=MICROSTEPS, turn=LENGTHS, gear=RATIOS)
def test_one_turn_of_the_output_takes_all_its_steps(full: int, micro: int, turn: float, gear: float) -> None:
    steps = steps_per_mm(full_steps=full, microsteps=micro, travel_per_turn=turn, gear_ratio=gear)
    assert steps * turn == pytest.approx(full * micro * gear)


@given(speed=st.floats(0.1, 1000.0), acceleration=st.floats(1.0, 50_000.0))
def test_distances_agree_with_time_and_mean_speed(speed: float, acceleration: float) -> None:
    time = speed / acceleration
    assert stop_distance(speed, acceleration) == pytest.approx(time * speed / 2)
    assert ramp_distance(speed, acceleration) == pytest.approx(2 * stop_distance(speed, acceleration))


def test_a_rate_has_no_direction() -> None:
    assert step_rate(-10.0, 80.0) == step_rate(10.0, 80.0)


@pytest.mark.parametrize("bad", [0.0, -1.0, float("nan")])
def test_what_must_be_above_zero_says_so(bad: float) -> None:
    with pytest.raises(ValueError, match="above 0"):
        steps_per_mm(full_steps=200, microsteps=16, travel_per_turn=bad)
    with pytest.raises(ValueError, match="step angle must be above 0"):
        full_steps_from_angle(bad)
    with pytest.raises(ValueError, match="acceleration must be above 0"):
        stop_distance(10.0, bad)
    with pytest.raises(ValueError, match="above 0"):
        step_size(bad)


def test_the_speed_that_a_distance_allows_needs_that_distance() -> None:
    speed = reachable_speed(250.0, 900.0)
    assert ramp_distance(speed, 900.0) == pytest.approx(250.0)


@pytest.mark.parametrize(("distance", "acceleration"), [(0.0, 100.0), (-5.0, 100.0), (10.0, 0.0)])
def test_no_distance_or_acceleration_allows_no_speed(distance: float, acceleration: float) -> None:
    with pytest.raises(ValueError, match="above 0"):
        reachable_speed(distance, acceleration)


def test_a_diagonal_move_adds_both_axes_speeds_on_one_crossed_belt() -> None:
    along_each = 100.0 / 2**0.5
    assert diagonal_belt_speed(100.0) == pytest.approx(2 * along_each)
