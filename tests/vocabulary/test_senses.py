"""Values that say several things. How builders write ranges and lists; no source."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cfgaudit.syntax.value import Number, numbers
from cfgaudit.vocabulary.catalogue import ROLES
from vocabulary.reading_text import reading_of, section_of


def senses(section: str, line: str) -> list[tuple[str, str]]:
    return [(sense.role, sense.text) for sense in reading_of(section, line).senses]


@pytest.mark.parametrize(
    ("section", "line", "role", "high", "low_role", "low"),
    [
        ("axis x", "travel = 0 .. 420", "travel.max", 420, "travel.min", 0),
        ("axis x", "travel = -5 .. 420 mm", "travel.max", 420, "travel.min", -5),
        ("axis x", "range = 0 ... 420", "travel.max", 420, "travel.min", 0),
        ("axis x", "travel = 0 to 420 mm", "travel.max", 420, "travel.min", 0),
        ("axis x", "travel = 0, 420", "travel.max", 420, "travel.min", 0),
        ("motion", "x travel = 0 .. 420", "travel.max", 420, "travel.min", 0),
        ("heater bed", "temp limits = 5 .. 120 °C", "temp.max", 120, "temp.min", 5),
        ("heater bed", "temperature range = 5 .. 120", "temp.max", 120, "temp.min", 5),
        ("heater bed", "power = 0.1 .. 0.9", "power.max", 0.9, "power.min", 0.1),
        ("heater bed", "power = 10 .. 90 %", "power.max", 0.9, "power.min", 0.1),
    ],
)
def test_a_range_has_two_ends(
    section: str, line: str, role: str, high: float, low_role: str, low: float
) -> None:
    reading = reading_of(section, line)
    assert (reading.role, numbers(reading.value)) == (role, (high,))
    assert [(sense.role, numbers(sense.value)) for sense in reading.senses] == [(low_role, (low,))]


def test_a_setting_of_two_ends_keeps_its_axis() -> None:
    assert reading_of("motion", "x travel = 0 .. 420").axis == "x"


@pytest.mark.parametrize(
    ("section", "line", "role"),
    [
        ("mesh", "back right = 290, 280", "mesh.high"),  # x and y of one corner
        ("mesh", "back right = 290 x 280", "mesh.high"),
        ("heater bed", "max temp = 6,5", "temp.max"),  # a decimal comma
        ("heater bed", "max temp = 120", "temp.max"),
    ],
)
def test_other_pairs_are_no_range(section: str, line: str, role: str) -> None:
    assert reading_of(section, line).role in (role, None)
    assert senses(section, line) == []


@pytest.mark.parametrize(
    ("section", "line", "role", "further"),
    [
        (
            "heater bed",
            "thermometer = main.PC2, NTC 100k B3950, pull-up 4.7k",
            "pin.sensor",
            [("sensor.kind", "NTC 100k B3950"), ("sensor.pullup", "4.7k")],
        ),
        ("heater bed", "sensor pin = PC2, PT1000", "pin.sensor", [("sensor.kind", "PT1000")]),
        ("sensor bay", "input = PC2, NTC 10k", "pin.sensor", [("sensor.kind", "NTC 10k")]),
        ("heater bed", "heater pin = PA1, max power 80 %", "pin.heater", [("power.max", "80 %")]),
        ("fan side", "runs with = heater bed, from 30 °C", "ref.heater", [("temp.trigger", "30 °C")]),
        ("fan side", "runs with = sensor bay, from 38 °C", "ref.sensor", [("temp.trigger", "38 °C")]),
        ("fan side", "pin = PA1, max speed 0.8", "pin.fan", [("power.max", "0.8")]),
        ("heater bed", "sensor pin = PC2, resistance 10k", "pin.sensor", [("sensor.nominal", "10k")]),
        ("heater bed", "heater pin = PA1, resistance 4 ohm", "pin.heater", [("heater.resistance", "4 ohm")]),
        ("heater bed", "heater pin = PA1, pull-up", "pin.heater", []),
        ("heater bed", "heater pin = PA1, inverted", "pin.heater", []),
        ("heater bed", "heater pin = PA1, blorp 3", "pin.heater", []),
        ("endstop x", "pin = PA1, PA2", "pin.endstop", []),
        ("fan side", "pin = PA1, 5", "pin.fan", []),
    ],
)
def test_what_follows_a_pin_or_a_name_may_have_a_role_of_its_own(
    section: str, line: str, role: str, further: list[tuple[str, str]]
) -> None:
    others = "" if section == "heater bed" else "[heater bed]\nheater pin = PB1\n[sensor bay]\npin = PB2\n"
    reading = section_of(f"[{section}]\n{line}\n{others}").readings[0]
    assert reading.role == role
    assert [(sense.role, sense.text) for sense in reading.senses] == further


def test_the_name_of_a_part_in_a_list_is_no_type_of_sensor() -> None:
    section = section_of(
        "[heater bed]\nsensors = feel, bay\n[sensor feel]\npin = PC1\n[sensor bay]\npin = PC2\n"
    )
    assert [sense.role for sense in section.readings[0].senses] == []


@given(
    st.text(max_size=40), st.sampled_from(["heater pin = PA1,", "sensor = PC2,", "travel = 0 ..", "pin ="])
)
def test_any_further_pieces_are_read(text: str, start: str) -> None:
    section = section_of(
        "[heater bed]\n" + f"{start}{text}".replace("\n", " ").replace("\r", " ").replace("\0", "")
    )
    for reading in section.readings:
        for sense in reading.senses:
            assert "heater" in ROLES[sense.role].parts
            assert sense.text in reading.setting.value


@given(st.integers(-500, 500), st.integers(1, 500))
def test_the_upper_end_is_the_value_and_the_lower_end_the_sense(low: int, more: int) -> None:
    reading = reading_of("axis x", f"travel = {low} .. {low + more} mm")
    assert isinstance(reading.value, Number)
    assert (reading.value.amount, numbers(reading.senses[0].value)) == (low + more, (low,))
