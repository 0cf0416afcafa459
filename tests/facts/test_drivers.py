"""The current that a driver can give, from however chip and resistor are written."""

from __future__ import annotations

import pytest

from cfgaudit.machine.driver_chips import find_driver_chip

from .facts_of import fact_of, value_of

CEILING = 0.325 / (0.11 + 0.020) / 2**0.5


@pytest.mark.parametrize(
    "text",
    [
        "[driver x]\nmodel = TMC2209\nsense resistor = 0.11 ohm\n",
        "[driver x]\nchip = tmc 2209-LA\nsense = 110 mohm\n",
        "[motor x]\nstep = PA1\ndirection = PA2\ndriver chip = TMC2209\nsense resistor = 0.11\n",
    ],
)
def test_a_chip_and_its_resistor_give_the_ceiling(text: str) -> None:
    assert value_of(text, "driver.x.current_ceiling") == pytest.approx(CEILING)


def test_a_sections_name_may_name_the_chip() -> None:
    text = "[TMC2209 driver x]\nsense resistor = 0.11\n"
    assert value_of(text, "driver.tmc2209-x.current_ceiling") == pytest.approx(CEILING)


@pytest.mark.parametrize(
    "text",
    [
        "[driver x]\nmodel = TMC2209\n",
        "[driver x]\nsense resistor = 0.11 ohm\n",
        "[driver x]\nmodel = TMC22090\nsense resistor = 0.11 ohm\n",
        "[driver x]\nmodel = TMC2240\nsense resistor = 0.11 ohm\n",
        "[driver x]\nmodel = A4988\nsense resistor = 0.1 ohm\n",
        "[driver x]\nmodel = TMC2209\nsense resistor = 110\n",
        "[driver x]\nmodel = TMC2209\nsense resistor = {r}\n",
    ],
)
def test_what_is_not_known_gives_none(text: str) -> None:
    assert value_of(text, "driver.x.current_ceiling") is None


@pytest.mark.parametrize(
    ("written", "bounded"), [("1.2 A", True), ("1200 mA", True), ("1.2", True), ("80", False)]
)
def test_the_ceiling_bounds_the_running_current(written: str, bounded: bool) -> None:
    text = f"[driver x]\nmodel = TMC2209\nsense resistor = 0.11\nrunning current = {written}\n"
    fact = fact_of(text, "driver.x.current_ceiling")
    assert fact is not None
    assert (fact.bounds is not None) is bounded


@pytest.mark.parametrize("text", ["", "none", "TMC", "2209", "TMC22099", "SD1240"])
def test_a_text_that_names_no_chip(text: str) -> None:
    assert find_driver_chip(text) is None
