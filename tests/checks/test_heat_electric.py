"""Sensors, guards, fans and supplies: what must be found beyond the cards' examples, and what must not."""

from __future__ import annotations

import pytest

from cfgaudit.audit import audit_text
from tests.checks.finding_lines import findings, said

ELECTRIC = (
    "limit-beyond-sensor",
    "sensor-open-undetected",
    "sensor-short-undetected",
    "temperature-resolution-coarse",
    "guard-too-slow",
    "fan-pwm-out-of-range",
    "supply-overloaded",
)

NOZZLE = """[heater nozzle]
drive = PD13
thermometer = PC1, NTC 100k B3950, pull-up 4.7k
lowest = 5
highest = 280
"""
BED = NOZZLE.replace("nozzle", "bed").replace("280", "110").replace("PD13", "PD12").replace("PC1", "PC0")
GUARD = "[guard {0}]\nwatches = heater {0}\nmust gain = 2 K\nwithin = {1}\n"
HOT_END = NOZZLE + "extrudes from = 170\n"
SUPPLY = "[supply rack]\nvolts = 24 V\nrating = 350 W\n"

SILENT = {
    "an ordinary hot end": NOZZLE,
    "a limit at the end of the headroom": NOZZLE.replace("280", "320"),
    "platinum where a thermistor would burn": NOZZLE.replace("NTC 100k B3950", "Pt1000").replace(
        "280", "420"
    ),
    "a thermocouple where platinum ends": NOZZLE.replace(
        "NTC 100k B3950, pull-up 4.7k", "thermocouple K"
    ).replace("280", "450"),
    "a thermocouple of a letter that is not in the table": NOZZLE.replace(
        "NTC 100k B3950", "type B thermocouple"
    ),
    "a sensor by a name that nobody knows": NOZZLE.replace("NTC 100k B3950", "part 0815").replace(
        "280", "430"
    ),
    "no kind and no pull-up": "[heater a]\ndrive = PD13\nthermometer = PC1\nlowest = -100\nhighest = 280\n",
    "limits in a template": NOZZLE.replace("280", "${hot}").replace("= 5", "= ${cold}"),
    "a lower limit in the frost": NOZZLE.replace("= 5", "= -55"),
    "a lower limit that only the sensor has": (
        "[heater a]\ndrive = PD13\nsensor = b\nlowest = -100\nhighest = 280\n"
        "[sensor b]\npin = PC1\nkind = NTC 100k B3950\npull-up = 4.7k\nlowest = 0\n"
    ),
    "no lower limit at all": NOZZLE.replace("lowest = 5\n", ""),
    "twelve bits at the hottest": NOZZLE.replace("280", "310"),
    "a thermistor that is coarse only in the frost": NOZZLE.replace("= 5", "= -55").replace("280", "110"),
    "a guard of usual patience": HOT_END + GUARD.format("nozzle", "20 s"),
    "a guard at its limit": HOT_END + GUARD.format("nozzle", "120 s"),
    "a weak cartridge and a patient guard": HOT_END + "rating = 30 W\n" + GUARD.format("nozzle", "110 s"),
    "a slow bed": BED + "rating = 1100 W\n" + GUARD.format("bed", "5 min"),
    "a heater of unknown use": NOZZLE.replace("nozzle", "dryer") + GUARD.format("dryer", "20 min"),
    "a second guard that looks first": HOT_END
    + GUARD.format("nozzle", "600 s")
    + "[guard other]\nwatches = heater nozzle\nmust gain = 1\nwithin = 15 s\n",
    "a guard's time that may count milliseconds": HOT_END + GUARD.format("nozzle", "20000"),
    "a tachometer without a frequency": "[fan bay]\npin = PA1\ntachometer = PA2\n",
    "a tachometer and a slow frequency": "[fan bay]\npin = PA1\ntachometer = PA2\npwm frequency = 300 Hz\n",
    "a fast frequency without a tachometer": "[fan bay]\npin = PA1\npwm frequency = 40 kHz\n",
    "a frequency that counts kilohertz": "[fan bay]\npin = PA1\nkind = 4-wire\npwm frequency = 25\n",
    "a fan on pin four": "[fan bay]\npin = 4\npwm frequency = 100 Hz\n",
    "a fan of three wires": "[fan bay]\npin = PA1\nkind = 3-wire\npwm frequency = 100 Hz\n",
    "a heater that gets pulses": BED + "pwm frequency = 10 Hz\n",
    "a supply at its limit": SUPPLY + BED + "volts = 24 V\nrating = 280 W\n",
    "a bed on mains": SUPPLY + BED + "volts = 230 V\nrating = 1100 W\n",
    "a bed that must be on mains": SUPPLY + BED + "rating = 700 W\n",
    "a duty limit that keeps it": SUPPLY + BED + "volts = 24 V\nrating = 500 W\npower at most = 50 %\n",
    "a supply without a rating": "[supply rack]\nvolts = 24 V\n" + BED + "rating = 300 W\n",
    "two supplies": SUPPLY
    + "[supply other]\nvolts = 24 V\nrating = 350 W\n"
    + BED
    + "volts = 24\nrating = 340\n",
}


@pytest.mark.parametrize("case", SILENT)
def test_nothing_is_said_of(case: str) -> None:
    assert said(SILENT[case], *ELECTRIC) == []


@pytest.mark.parametrize(("top", "found"), [("320", []), ("321", [5]), ("593 K", [])])
def test_a_thermistor_has_twenty_degrees_of_headroom(top: str, found: list[int]) -> None:
    assert [one.line for one in said(NOZZLE.replace("280", top), "limit-beyond-sensor")] == found


def test_a_limit_of_a_sensor_alone_counts() -> None:
    text = "[sensor bay]\npin = PC5\nkind = NTC 10k B3435\nhighest = 200\n"
    assert [one.line for one in said(text, "limit-beyond-sensor")] == [4]


def test_a_limit_that_heater_and_sensor_share_is_found_once() -> None:
    text = (
        "[heater a]\ndrive = PD13\nsensor = b\nlowest = 0\n"
        "[sensor b]\npin = PC1\nkind = NTC 10k B3435\nhighest = 250\n"
    )
    assert [one.line for one in said(text, "limit-beyond-sensor")] == [8]


@pytest.mark.parametrize(
    ("bits", "lowest", "found"), [(12, -59, []), (12, -60, [6]), (10, -42, []), (10, -43, [6])]
)
def test_the_frost_of_an_unplugged_sensor_is_the_border(bits: int, lowest: int, found: list[int]) -> None:
    """Unplugged, a thermistor of 100 kΩ and β 3950 K on 4.7 kΩ reads -59.7 °C in 12 bits, -42.4 °C in 10."""
    chip = {12: "RP2040", 10: "ATmega2560"}[bits]
    text = f"[board a]\nchip = {chip}\n" + NOZZLE.replace("= 5", f"= {lowest}")
    assert [one.line for one in said(text, "sensor-open-undetected")] == found


def test_an_unplugged_sensor_is_a_danger_only_where_nothing_else_looks() -> None:
    frost = NOZZLE.replace("= 5", "= -100")
    guarded, other = GUARD.format("nozzle", "20 s"), BED + GUARD.format("bed", "60 s")
    severities = [
        [one.severity for one in said(text, "sensor-open-undetected")]
        for text in (frost, frost + guarded, frost + other)
    ]
    assert severities == [["warning"], ["warning"], ["danger"]]


def test_an_unplugged_platinum_needs_the_upper_limit() -> None:
    text = NOZZLE.replace("NTC 100k B3950", "Pt1000").replace("280", "900")
    assert [one.line for one in said(text, "sensor-open-undetected")] == [5]


def test_numbers_stand_in_the_messages() -> None:
    (found,) = findings(NOZZLE.replace("= 5", "= -100"), "sensor-open-undetected")
    assert "-59.7 °C" in found.message
    assert "4700 Ω" in found.message
    assert "-100 °C" in found.message


@pytest.mark.parametrize(("time", "found"), [("120 s", []), ("121 s", [10]), ("3 min", [10])])
def test_a_hot_ends_guard_without_a_rating(time: str, found: list[int]) -> None:
    text = HOT_END + GUARD.format("nozzle", time)
    assert [one.line for one in said(text, "guard-too-slow")] == found


@pytest.mark.parametrize(("time", "found"), [("50 s", []), ("46 s", []), ("51 s", [11])])
def test_a_hot_ends_guard_with_a_rating(time: str, found: list[int]) -> None:
    """90 W for 50 s are 4.5 kJ, and these make 30 J/K 150 K hotter."""
    text = HOT_END + "rating = 90 W\n" + GUARD.format("nozzle", time)
    assert [one.line for one in said(text, "guard-too-slow")] == found


def test_a_guard_within_the_heater_counts() -> None:
    text = BED + "guard time = 10 min\n"
    assert [one.line for one in said(text, "guard-too-slow")] == [6]


def test_one_guard_for_all_is_found_once() -> None:
    text = BED + HOT_END + "[guard]\nmust gain = 2 K\nwithin = 20 min\n"
    assert [one.line for one in said(text, "guard-too-slow")] == [14]


@pytest.mark.parametrize("words", ["wires = 4", "kind = 4-wire", "style = four wires", "note = 4wire, black"])
def test_a_setting_that_says_four_wires_is_enough(words: str) -> None:
    text = f"[fan bay]\npin = PA1\n{words}\npwm frequency = 100 Hz\n"
    assert [one.line for one in said(text, "fan-pwm-out-of-range")] == [4]


def test_what_is_surely_on_the_supply_is_a_warning_and_the_rest_a_note() -> None:
    bed = BED + "rating = 300 W\n"
    assert [one.severity for one in said(SUPPLY + bed + "volts = 24 V\n", "supply-overloaded")] == ["warning"]
    assert [one.severity for one in said(SUPPLY + bed, "supply-overloaded")] == ["note"]


def test_limits_can_be_overridden() -> None:
    project = '[limits]\n"temperature-resolution-coarse.coarsest" = 0.1\n"supply-overloaded.most" = 0.5\n'
    text = SUPPLY + NOZZLE + "volts = 24\nrating = 200 W\n"
    found = {one.rule for one in audit_text({"main.ini": text}, project).findings.findings}
    assert {"temperature-resolution-coarse", "supply-overloaded"} <= found
    assert said(text, *ELECTRIC) == []
