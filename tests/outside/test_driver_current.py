"""The current that a sense resistor allows, against the makers' data sheets.

Trinamic, data sheet TMC2209: I_RMS = (CS+1) ÷ 32 × V_FS ÷ (R_S + 20 mΩ) ÷ √2, V_FS = 0.325 V, CS up to 31,
and 1.92 A at 0.10 Ω in its table; the other values of that table from memory. TMC5160: from memory.
"""

from __future__ import annotations

from math import sqrt

import pytest

from cfgaudit.audit import audit_text
from cfgaudit.checks.run import raise_fault
from cfgaudit.machine.driver_chips import driver_chips, find_driver_chip
from cfgaudit.physics.drivers import peak_current, rms_ceiling


@pytest.mark.parametrize(
    ("chip", "ohms", "amperes"),
    [
        ("TMC2209", 0.10, 1.92),
        ("TMC2209", 0.11, 1.77),
        ("TMC2209", 0.12, 1.64),
        ("TMC2209", 0.15, 1.35),
        ("TMC5160", 0.05, 4.6),
        ("TMC5160", 0.075, 3.06),
    ],
)
def test_the_table_of_the_data_sheet(chip: str, ohms: float, amperes: float) -> None:
    digits = 0.05 if amperes == 4.6 else 0.005
    found = find_driver_chip(chip)
    assert found is not None
    assert found.full_scale is not None
    assert rms_ceiling(found.full_scale, ohms, found.extra) == pytest.approx(amperes, abs=digits)
    text = f"[driver x]\nmodel = {chip}\nsense resistor = {ohms} ohm\n"
    fact = audit_text({"machine.ini": text}, on_fault=raise_fault).facts.get("driver.x.current_ceiling")
    assert fact is not None
    assert fact.unit == "A RMS"
    assert fact.value == pytest.approx(amperes, abs=digits)


def test_the_peak_of_a_sine_is_root_two_times_its_rms() -> None:
    assert peak_current(1.0) == pytest.approx(sqrt(2))


def test_microsteps_are_powers_of_two_up_to_256_and_addresses_0_to_3() -> None:
    chip = find_driver_chip("tmc2209-LA")
    assert chip is not None
    assert (chip.microsteps, chip.addresses) == (256, 4)


def test_every_chip_divides_by_a_power_of_two_and_names_its_source() -> None:
    for chip in driver_chips().values():
        assert chip.microsteps & (chip.microsteps - 1) == 0
        assert "data sheet" in chip.source


@pytest.mark.parametrize("ohms", [0.0, -0.1])
def test_without_a_resistor_there_is_no_ceiling(ohms: float) -> None:
    with pytest.raises(ValueError, match="above 0"):
        rms_ceiling(0.325, ohms)
