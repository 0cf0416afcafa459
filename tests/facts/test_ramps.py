"""Facts of ramps and of the room for homing, by plain mechanics."""

from __future__ import annotations

import pytest

from .facts_of import value_of

AXIS = "[axis x]\nlowest = 0\nhighest = 250\nacceleration = 1000\nhome speed = 100\n"


def test_stopping_from_100_mm_a_second_takes_5_mm() -> None:
    assert value_of(AXIS, "axis.x.home_stop_distance") == pytest.approx(5.0)


def test_half_the_travel_speeds_up_and_half_stops() -> None:
    """v² = 2 a s over half of 250 mm, twice."""
    assert value_of(AXIS, "axis.x.reachable_speed") == pytest.approx((2 * 1000 * 125) ** 0.5)


def test_swapped_limits_allow_no_speed() -> None:
    assert value_of("[axis x]\nlowest = 9\nhighest = 0\nacceleration = 9\n", "axis.x.reachable_speed") is None


@pytest.mark.parametrize(
    ("lines", "room"),
    [
        ("home backoff = 4", 4.0),
        ("home position = 3", 3.0),
        ("home position = 248", 2.0),
        ("home position = 3\nhome backoff = 5", 5.0),
        ("home position = 3\nhome backoff = 2", 3.0),
        ("home position = 0", None),
        ("home position = -5", None),
        ("home backoff = 0", None),
        ("", None),
    ],
)
def test_the_room_behind_a_switch(lines: str, room: float | None) -> None:
    assert value_of(f"{AXIS}{lines}\n", "axis.x.home_room") == room


def test_an_axis_is_never_faster_than_the_whole_machine() -> None:
    machine = "[machine]\nhighest speed = 150\nhighest acceleration = 500\n"
    axis = "[axis x]\nhighest speed = 300\nhighest acceleration = 1000\n"
    assert value_of(axis, "axis.x.ramp_distance") == pytest.approx(90.0)
    assert value_of(machine + axis, "axis.x.ramp_distance") == pytest.approx(45.0)


def test_a_feeder_keeps_its_own_limits() -> None:
    machine = "[machine]\nhighest speed = 150\nhighest acceleration = 500\n"
    feeder = "[feeder motor]\nstep = PA1\nhighest speed = 60\nhighest acceleration = 900\n"
    assert value_of(machine + feeder, "axis.e.ramp_distance") == pytest.approx(4.0)
