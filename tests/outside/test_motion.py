"""Steps, rates and distances that the trade knows by heart (common practice, no source)."""

from __future__ import annotations

import pytest

from cfgaudit.physics.motion import (
    full_steps_from_angle,
    ramp_distance,
    step_rate,
    step_size,
    steps_per_mm,
    stop_distance,
)

BELT = 2.0 * 20  # mm a turn: 2 mm pitch, 20 teeth


@pytest.mark.parametrize(
    ("full_steps", "microsteps", "travel_per_turn", "expected"),
    [(200, 16, BELT, 80.0), (400, 16, BELT, 160.0), (200, 16, 8.0, 400.0)],
    ids=["1.8 degree motor on a belt", "0.9 degree motor on a belt", "screw of 8 mm lead"],
)
def test_steps_per_millimetre_of_common_drives(
    full_steps: int, microsteps: int, travel_per_turn: float, expected: float
) -> None:
    steps = steps_per_mm(full_steps=full_steps, microsteps=microsteps, travel_per_turn=travel_per_turn)
    assert steps == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(("angle", "steps"), [(1.8, 200), (0.9, 400), (7.5, 48)])
def test_step_angles_of_common_motors(angle: float, steps: int) -> None:
    assert full_steps_from_angle(angle) == pytest.approx(steps)


def test_step_rate_of_a_fast_axis() -> None:
    assert step_rate(300.0, 160.0) == pytest.approx(48_000.0)


def test_stopping_from_100_mm_a_second_takes_5_mm() -> None:
    assert stop_distance(100.0, 1000.0) == pytest.approx(5.0)


def test_a_ramp_up_and_down_is_twice_the_stopping_distance() -> None:
    assert ramp_distance(100.0, 1000.0) == pytest.approx(10.0)


def test_one_microstep_of_a_belt_axis_is_an_eightieth_of_a_millimetre() -> None:
    assert step_size(80.0) == pytest.approx(0.0125)
