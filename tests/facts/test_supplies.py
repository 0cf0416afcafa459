"""What can be on together on a supply, and what is not on it."""

from __future__ import annotations

import pytest

from cfgaudit.audit import audit_text

SUPPLY = "[supply rack]\nvolts = 24 V\nrating = 600 W\n"
MOTOR = "[motor {0}]\nstep = PE{1}\ndirection = PF{1}\nrunning current = {2}\n"


def heater(name: str, lines: str) -> str:
    return f"[heater {name}]\ndrive = PA{len(name)}\nthermometer = PC{len(name)}\n{lines}\n"


def load(text: str, supply: str = "rack") -> tuple[float, float] | None:
    """Watts and share of the rating."""
    facts = audit_text({"main.ini": text}).facts
    watts, share = facts.get(f"supply.{supply}.load"), facts.get(f"supply.{supply}.load_share")
    if watts is None or share is None:
        assert watts is share
        return None
    assert isinstance(watts.value, float)
    assert isinstance(share.value, float)
    return watts.value, share.value


def test_what_states_the_supplys_volts_is_on_it() -> None:
    text = (
        SUPPLY + heater("bed", "volts = 24 V\nrating = 300 W") + heater("nozzle", "volts = 24\nrating = 60 W")
    )
    assert load(text) == pytest.approx((360.0, 0.6))


def test_mains_is_not_on_it() -> None:
    text = SUPPLY + heater("bed", "volts = 230 V\nrating = 1100 W") + heater("nozzle", "rating = 60 W")
    assert load(text) == pytest.approx((60.0, 0.1))


def test_the_duty_limit_counts() -> None:
    assert load(SUPPLY + heater("bed", "rating = 400 W\npower at most = 75 %")) == pytest.approx((300.0, 0.5))


def test_volts_and_ohms_give_the_watts() -> None:
    """Joule's law: 24 V on 14.4 Ω is 40 W."""
    assert load(SUPPLY + heater("nozzle", "resistance = 14.4 ohm")) == pytest.approx((40.0, 40.0 / 600.0))


def test_what_the_supply_could_not_bear_alone_and_says_nothing_is_on_mains() -> None:
    assert load(SUPPLY + heater("bed", "rating = 1100 W")) is None


def test_motors_take_what_their_windings_turn_to_heat() -> None:
    """Joule's law: two windings of 2 Ω at 1.5 A are 9 W, at 0.5 A 1 W."""
    motors = MOTOR.format("x", 1, "1.5 A") + MOTOR.format("y", 2, "0.5 A")
    assert load(SUPPLY + motors) == pytest.approx((10.0, 10.0 / 600.0))


def test_a_motor_counts_once() -> None:
    driver = "[driver x]\nmotor = motor x\nmodel = TMC2209\nrunning current = 1.5 A\n"
    assert load(SUPPLY + MOTOR.format("x", 1, "1.2 A") + driver) == pytest.approx((9.0, 9.0 / 600.0))


@pytest.mark.parametrize("current", ["800", "31", "0"])
def test_a_current_that_counts_something_else_is_none(current: str) -> None:
    assert load(SUPPLY + MOTOR.format("x", 1, current)) is None


def test_a_supply_of_few_volts_feeds_no_motors() -> None:
    logic = "[supply rack]\nvolts = 5 V\nrating = 15 W\n"
    assert load(logic + MOTOR.format("x", 1, "1.5 A")) is None


def test_of_two_supplies_each_bears_what_states_its_volts() -> None:
    second = "[supply box]\nvolts = 48 V\nrating = 500 W\n"
    text = SUPPLY + second + heater("bed", "volts = 48 V\nrating = 300 W") + heater("nozzle", "rating = 60 W")
    assert load(text) is None
    assert load(text, "box") == pytest.approx((300.0, 0.6))


def test_two_supplies_of_the_same_volts_leave_it_open() -> None:
    second = "[supply box]\nvolts = 24 V\nrating = 500 W\n"
    assert load(SUPPLY + second + heater("bed", "volts = 24 V\nrating = 300 W")) is None


@pytest.mark.parametrize("lines", ["volts = 24 V", "volts = 24 V\nrating = 0 W"])
def test_a_supply_without_a_rating_has_no_share(lines: str) -> None:
    assert load(f"[supply rack]\n{lines}\n" + heater("bed", "volts = 24 V\nrating = 300 W")) is None
