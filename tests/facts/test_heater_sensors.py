"""Facts of a heater's sensor: which settings they need, and where these may stand."""

from __future__ import annotations

from collections.abc import Mapping
from math import isfinite

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.audit import audit_text
from cfgaudit.facts.fact import Fact

OWN = """
[heater nozzle]
drive = PA1
thermometer = PC2, NTC 100k B3950, pull-up 4.7k
lowest = 5 °C
highest = 300 °C
"""
APART = """
[heater nozzle]
drive = PA1
sensor = tip
lowest = 5 °C
highest = 300 °C

[sensor tip]
pin = PC2
kind = NTC 100k B3950
pull-up = 4700
"""
QUANTITIES = {
    "sensor_highest",
    "sensor_ohms_at_max",
    "adc_step_at_max",
    "adc_step_worst",
    "open_reads",
    "short_reads",
}


def facts_of(text: str, heater: str = "nozzle", project: str | None = None) -> Mapping[str, Fact]:
    """The facts of one heater's sensor, by quantity."""
    found = audit_text({"main.ini": text}, project).facts.matching(f"heater.{heater}.*")
    return {one.name.rpartition(".")[2]: one for one in found if one.name.rpartition(".")[2] in QUANTITIES}


@pytest.mark.parametrize("text", [OWN, APART], ids=["in the heater", "in a section of its own"])
def test_a_sensor_with_its_pull_up_gives_every_fact(text: str) -> None:
    """A thermistor of 100 kΩ and β 3950 K at 300 °C: 173.52 Ω, 0.591 °C a count; unplugged -59.7 °C."""
    facts = facts_of(text)
    assert set(facts) == QUANTITIES
    assert facts["sensor_ohms_at_max"].value == pytest.approx(173.52, abs=0.005)
    assert facts["adc_step_at_max"].value == pytest.approx(0.591, abs=5e-4)
    assert facts["adc_step_worst"].value == pytest.approx(0.591, abs=5e-4)
    assert facts["open_reads"].value == pytest.approx(-59.7, abs=0.05)
    assert {one.unit for one in facts.values()} == {"Ω", "°C"}


def test_facts_name_the_settings_that_they_came_from() -> None:
    facts = facts_of(APART)
    assert [one.text for one in facts["sensor_ohms_at_max"].origin] == ["300 °C", "NTC 100k B3950"]
    assert [one.text for one in facts["open_reads"].origin] == ["4700", "NTC 100k B3950"]
    assert facts["sensor_highest"].bounds is not None
    assert facts["sensor_highest"].bounds.text == "300 °C"


@pytest.mark.parametrize(
    ("old", "new", "left"),
    [
        (", pull-up 4.7k", "", {"sensor_highest", "sensor_ohms_at_max"}),
        ("NTC 100k B3950", "NTC 100k", {"sensor_highest"}),
        ("NTC 100k B3950", "type 17 of the workshop", set()),
        ("highest = 300 °C", "", {"sensor_highest", "open_reads", "short_reads"}),
        ("highest = 300 °C", "highest = hot", {"sensor_highest", "open_reads", "short_reads"}),
        ("NTC 100k B3950", "thermocouple K", {"sensor_highest"}),
        ("drive = PA1", "drive = PA1\nselect = PC4", {"sensor_highest", "sensor_ohms_at_max"}),
        ("pull-up 4.7k", "pull-up 0", {"sensor_highest", "sensor_ohms_at_max"}),
    ],
)
def test_what_is_missing_gives_no_fact(old: str, new: str, left: set[str]) -> None:
    assert old in OWN
    assert set(facts_of(OWN.replace(old, new))) == left


def test_beta_and_resistance_may_have_settings_of_their_own() -> None:
    text = APART.replace("kind = NTC 100k B3950", "kind = NTC\nnominal resistance = 100k\nbeta = 3950")
    assert facts_of(text)["sensor_ohms_at_max"].value == pytest.approx(173.52, abs=0.005)


def test_settings_that_contradict_the_kind_give_no_fact() -> None:
    assert not facts_of(APART + "beta = 3435\n")


def test_three_points_give_a_curve_through_them() -> None:
    """Steinhart–Hart: at one of its own points a curve has that point's ohms."""
    points = "25 °C 100k, 150 °C 1641.9, 300 °C 173.5 ohm"
    facts = facts_of(APART.replace("NTC 100k B3950", points))
    assert facts["sensor_ohms_at_max"].value == pytest.approx(173.5)


def test_platinum_follows_its_standard() -> None:
    """IEC 60751: a Pt1000 has 2120.5 Ω at 300 °C."""
    facts = facts_of(APART.replace("NTC 100k B3950", "Pt1000"))
    assert facts["sensor_ohms_at_max"].value == pytest.approx(2120.5, abs=0.05)
    assert facts["adc_step_at_max"].value == pytest.approx(0.678, abs=5e-4)
    assert (facts["open_reads"].value, facts["short_reads"].value) == (850.0, -200.0)


@pytest.mark.parametrize(
    ("chip", "step"),
    [("ATmega2560", 2.365), ("STM32F407VGT6", 0.591), ("RP2040", 0.591), ("a chip that nobody knows", 0.591)],
)
def test_the_boards_chip_gives_the_bits(chip: str, step: float) -> None:
    text = f"[board only]\nchip = {chip}\n{OWN}"
    assert facts_of(text)["adc_step_at_max"].value == pytest.approx(step, abs=5e-4)


def test_each_sensor_is_read_by_the_chip_of_its_own_board() -> None:
    boards = "[board main]\nchip = STM32F407VGT6\n[board head]\nchip = ATmega328P\n"
    assert facts_of(boards + OWN.replace("PC2", "main.PC2"))["open_reads"].value == pytest.approx(
        -59.7, abs=0.05
    )
    assert facts_of(boards + OWN.replace("PC2", "head.PC2"))["open_reads"].value == pytest.approx(
        -42.4, abs=0.05
    )


def test_a_chip_that_only_the_project_names_counts() -> None:
    text = f"[board only]\nname = x\n{OWN}"
    project = '[chips]\nonly = "ATmega2560"\n'
    assert facts_of(text, project=project)["open_reads"].value == pytest.approx(-42.4, abs=0.05)


def test_the_worst_step_of_a_bed_is_at_the_room() -> None:
    """The lower limit may be frost; a heater works from the room's 20 °C up."""
    text = OWN.replace("300", "120").replace("lowest = 5 °C", "lowest = -40 °C")
    facts = facts_of(text)
    worst, at_top = facts["adc_step_worst"].value, facts["adc_step_at_max"].value
    assert isinstance(worst, float)
    assert isinstance(at_top, float)
    assert at_top < worst < 0.2


def test_a_heater_with_two_sensors_gets_no_facts() -> None:
    text = APART + "[sensor other]\npin = PC3\nheater = nozzle\nkind = Pt1000\n"
    assert not facts_of(text)


absurd = st.sampled_from(
    ["0", "-1", "1e-99", "1e99", "-300", "-273.15", "9" * 30, "850", "1e99 M", "3950", "4.7k"]
)


@given(*[absurd] * 5)
@settings(max_examples=60)
def test_absurd_numbers_give_finite_facts_or_none(
    lowest: str, highest: str, pullup: str, nominal: str, beta: str
) -> None:
    limits = f"[heater a]\ndrive = PA1\nsensor = b\nlowest = {lowest}\nhighest = {highest}\n"
    sensor = f"[sensor b]\npin = PC2\nnominal resistance = {nominal}\nbeta = {beta}\npull-up = {pullup}\n"
    for sort in ("", "kind = Pt100\n"):
        for one in facts_of(limits + sensor + sort, "a").values():
            assert isinstance(one.value, float)
            assert isfinite(one.value)
