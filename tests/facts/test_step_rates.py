"""What motors need of their boards, and which motors move which axis."""

from __future__ import annotations

from math import sqrt

import pytest

from cfgaudit.audit import audit_text
from cfgaudit.machine.kinematics import motors_of, shared_axes

from .facts_of import value_of

BOARDS = """
[board main]
chip = STM32F407
step rate at most = 96 kHz

[board arm]
chip = RP2040
step rate at most = 64000
"""
CARTESIAN = """
[motion]
kinematics = {layout}
top speed = 300

[axis x]
step = arm.gpio2
direction = arm.gpio3
full steps = 400
microsteps = 16
travel per turn = 40
top speed = 300

[axis y]
step = main.PA1
direction = main.PA2
full steps = 400
microsteps = 16
travel per turn = 40
top speed = 200
"""


@pytest.mark.parametrize("axis", ["x", "y"])
def test_the_share_of_the_motors_own_board(axis: str) -> None:
    """160 steps/mm: 48 000 of 64 000 and 32 000 of 96 000 a second."""
    share = value_of(BOARDS + CARTESIAN.format(layout="cartesian"), f"axis.{axis}.step_rate_share")
    assert share == pytest.approx({"x": 48 / 64, "y": 32 / 96}[axis])


def test_with_crossed_belts_either_board_steps_for_both_axes() -> None:
    """The slower axis allows a diagonal move of 200 mm/s: 283 mm/s of one belt, less than x alone."""
    text = BOARDS + CARTESIAN.format(layout="CoreXY")
    assert value_of(text, "axis.x.step_rate_share") == pytest.approx(48 / 64)
    assert value_of(text, "axis.y.step_rate_share") == pytest.approx(200 * sqrt(2) * 160 / 64_000)


@pytest.mark.parametrize("stated", ["150", "a lot", "{fast}"])
def test_a_rate_that_is_none_gives_no_share(stated: str) -> None:
    text = BOARDS.replace("64000", stated) + CARTESIAN.format(layout="cartesian")
    assert value_of(text, "axis.x.step_rate_share") is None
    assert value_of(text, "axis.y.step_rate_share") is not None


@pytest.mark.parametrize(
    ("layout", "letters"),
    [
        ("CoreXY", "xy"),
        ("core_xy", "xy"),
        ("H-bot", "xy"),
        ("core-xz", "xz"),
        ("hybrid CoreXY", ""),
        ("cartesian", ""),
        ("delta", ""),
        ("{layout}", ""),
    ],
)
def test_which_axes_share_their_motors(layout: str, letters: str) -> None:
    machine = audit_text({"machine.ini": f"[kinematics]\nkind = {layout}\n"}).machine
    assert shared_axes(machine) == letters


def test_two_motors_of_crossed_belts_move_both_axes() -> None:
    text = (
        "[kinematics]\nkind = CoreXY\n[motor x]\nstep = PA1\n[motor y]\nstep = PA2\n[motor z]\nstep = PA3\n"
    )
    machine = audit_text({"machine.ini": text}).machine
    for letter in "xy":
        assert {motor.name for motor in motors_of(machine.axis(letter))} == {"x", "y"}
    assert {motor.name for motor in motors_of(machine.axis("z"))} == {"z"}


def test_motors_of_crossed_belts_may_have_letters_of_their_own() -> None:
    text = (
        "[kinematics]\nkind = CoreXY\n[axis x]\nhighest = 200\ntop speed = 100\n[axis y]\nhighest = 200\n"
        "[motor a]\nstep = PA1\nfull steps = 200\nmicrosteps = 16\ntravel per turn = 40\n"
        "[motor b]\nstep = PA2\n"
    )
    machine = audit_text({"machine.ini": text}).machine
    assert {motor.name for motor in motors_of(machine.axis("y"))} == {"a", "b"}
    assert value_of(text, "axis.x.step_rate") == pytest.approx(8000)
    assert value_of(text, "axis.y.steps_per_mm") == pytest.approx(80)


def test_what_one_motor_of_crossed_belts_says_counts_for_both_axes() -> None:
    text = (
        "[kinematics]\nkind = CoreXY\n"
        "[axis x]\nstep = PA1\nfull steps = 200\nmicrosteps = 16\ntravel per turn = 40\n"
        "[axis y]\nstep = PA2\n"
    )
    assert value_of(text, "axis.y.steps_per_mm") == pytest.approx(80)
    assert value_of(text.replace("CoreXY", "cartesian"), "axis.y.steps_per_mm") is None
