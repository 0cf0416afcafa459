"""Kinds of sensors as the trade writes them: what is read, and what is left alone."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.syntax.read_sensor import read_sensor
from cfgaudit.syntax.sensor import SensorKind

USUAL = SensorKind("thermistor", 100e3, 3950.0)
COATED = SensorKind("thermistor", 10e3, 3435.0)
PT1000 = SensorKind("platinum", 1000.0)
TYPE_K = SensorKind("thermocouple", letter="K")

READ = {
    "NTC 100k B3950": USUAL,
    "ntc100k3950": USUAL,
    "ntc-100k-b3950": USUAL,
    "NTC_100K_3950": USUAL,
    "100k NTC, beta 3950": USUAL,
    "NTC 100 kΩ, β = 3950 K": USUAL,
    "NTC 100 kOhm B25/50 3950 1 %": USUAL,
    "3950K 100k thermistor": USUAL,
    "100000 3950 ntc": USUAL,
    "glass bead, 100k, B3950": USUAL,
    "NTC 0.1M 3950": USUAL,
    "NTC 10k B3435": COATED,
    "ntc10k3435": COATED,
    "NTC 4k7 B3977": SensorKind("thermistor", 4700.0, 3977.0),
    "NTC 100k": SensorKind("thermistor", 100e3),
    "thermistor": SensorKind("thermistor"),
    "Pt1000": PT1000,
    "PT-1000": PT1000,
    "pt 1000, class A, 2-wire": PT1000,
    "platinum 1000": PT1000,
    "RTD Pt1000 sensor": PT1000,
    "PT100": SensorKind("platinum", 100.0),
    "thermocouple K": TYPE_K,
    "thermocouple type K": TYPE_K,
    "type K thermocouple": TYPE_K,
    "K-type thermocouple": TYPE_K,
    "25 °C 100k, 150 °C 1641.9, 250 °C 226.15 ohm": SensorKind(
        "thermistor", points=((25.0, 100e3), (150.0, 1641.9), (250.0, 226.15))
    ),
    "NTC: -40C = 4k7; 0C = 1k; 50 °C = 300 Ω": SensorKind(
        "thermistor", points=((-40.0, 4700.0), (0.0, 1000.0), (50.0, 300.0))
    ),
}

LEFT = [
    "",
    "3950",
    "100k",
    "SHT31",
    "Pt2000",
    "Pt10000",
    "type 17 of the workshop",
    "hausmarke NTC 100k B3950",
    "NTC 100k 10k B3950",
    "NTC 100k B3950 B4092",
    "thermocouple",
    "25 °C 100k, 150 °C 1641.9",
    "PTC 1k",
    "NTC 100k\nB39500",
]


@pytest.mark.parametrize("text", READ)
def test_is_read(text: str) -> None:
    assert read_sensor(text) == READ[text]


@pytest.mark.parametrize("text", LEFT)
def test_is_left_alone(text: str) -> None:
    assert read_sensor(text) is None


@given(st.text(max_size=40) | st.text("ntcpk123050BβΩ °C.,-/=%", max_size=30))
@settings(max_examples=150)
def test_no_text_is_too_much(text: str) -> None:
    kind = read_sensor(text)
    if kind is not None:
        assert kind.family in ("thermistor", "platinum", "thermocouple")
        assert all(one is None or one >= 0 for one in (kind.ohms, kind.beta))
        assert len(kind.points) in (0, 3)


@given(
    st.integers(1, 999),
    st.sampled_from(["", " ", "-", "_", ", "]),
    st.integers(2000, 5999),
    st.sampled_from(["", "B", "b", "beta ", "β", "B = "]),
)
@settings(max_examples=100)
def test_ohms_and_beta_are_found_however_they_are_joined(kilo: int, gap: str, beta: int, mark: str) -> None:
    expected = SensorKind("thermistor", kilo * 1000.0, float(beta))
    assert read_sensor(f"NTC{gap}{kilo}k{gap}{mark}{beta}") == expected
