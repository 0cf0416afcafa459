"""The tables of sensors and converters: which entry a name falls under."""

from __future__ import annotations

import pytest

from cfgaudit.facts.converters import bits_of_chip
from cfgaudit.facts.sensor_types import curve_of, kind_text, sensor_types, type_of
from cfgaudit.syntax.read_sensor import read_sensor
from cfgaudit.syntax.sensor import SensorKind


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("ntc100k3950", "NTC 100k B3950"),
        ("NTC 10k B3435", "NTC 10k B3435"),
        ("NTC 10k B3950", "NTC"),
        ("thermistor", "NTC"),
        ("25 °C 100k, 150 °C 1.64k, 250 °C 226 Ω", "NTC"),
        ("PT100", "Pt100"),
        ("Pt1000 class A", "Pt1000"),
        ("pt 500", "platinum"),
        ("type K thermocouple", "thermocouple K"),
    ],
)
def test_a_kind_falls_under_the_type_that_says_most_of_it(text: str, name: str) -> None:
    kind = read_sensor(text)
    assert kind is not None
    found = type_of(kind)
    assert found is not None
    assert found.name == name


def test_a_thermocouple_of_another_letter_falls_under_none() -> None:
    assert type_of(SensorKind("thermocouple", letter="B")) is None


def test_names_of_the_table_are_read_as_what_they_are() -> None:
    """Every type is found again by its own name, and every type says where its limit is from."""
    for one in sensor_types():
        kind = read_sensor(one.name)
        assert one.source
        if kind is not None:
            assert type_of(kind) == one


@pytest.mark.parametrize(
    ("text", "shown"),
    [("ntc100k3950", "NTC 100k B3950"), ("PT-1000", "Pt1000"), ("k type thermocouple", "thermocouple K")],
)
def test_a_kind_is_shown_as_the_trade_writes_it(text: str, shown: str) -> None:
    kind = read_sensor(text)
    assert kind is not None
    assert kind_text(kind) == shown


@pytest.mark.parametrize(
    "kind",
    [
        SensorKind("thermistor", 100e3),
        SensorKind("thermistor", beta=3950.0),
        SensorKind("thermistor", 1.0, 3950.0),
        SensorKind("thermistor", 100e3, 50.0),
        SensorKind("thermocouple", letter="K"),
        SensorKind("thermistor", points=((0.0, 100.0), (25.0, 110.0), (50.0, 119.0))),
    ],
)
def test_too_little_or_too_odd_gives_no_curve(kind: SensorKind) -> None:
    assert curve_of(kind) is None


@pytest.mark.parametrize(
    ("chip", "bits"),
    [  # the makers' data sheets, from memory
        ("ATmega2560", 10),
        ("atmega328p", 10),
        ("AT90USB1286", 10),
        ("STM32F103C8T6", 12),
        ("stm32g0b1", 12),
        ("STM32H743VIT6", 16),
        ("RP2040", 12),
        ("LPC1768", 12),
        ("ATSAMD51J19A", 12),
        ("ESP32", 12),
        ("a chip of our own", None),
        ("", None),
    ],
)
def test_bits_of_converters(chip: str, bits: int | None) -> None:
    assert bits_of_chip(chip) == bits
