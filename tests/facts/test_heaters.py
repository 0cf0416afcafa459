"""Power of heaters."""

from __future__ import annotations

import pytest
from machine.readings import machine_of

from cfgaudit.facts.compute import compute_facts


def watts_of(text: str) -> object:
    fact = compute_facts(machine_of(text)).get("heater.bed.watts")
    return fact.value if fact is not None else None


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        ("watts = 150 W", 150),
        ("watts = 150 W\nshare = 80 %", 120),
        ("volts = 24 V\nohms = 14.4 ohm", 40),
        ("watts = 150\nshare = 0.5", 75),
    ],
)
def test_a_rating_or_a_resistance_gives_the_power(lines: str, expected: float) -> None:
    assert watts_of(f"[heater bed]\n{lines}\n") == pytest.approx(expected)


def test_the_only_supply_feeds_the_heater() -> None:
    heater = "[heater bed]\nohms = 14.4 ohm\n"
    assert watts_of(heater + "[supply a]\nvolts = 24\n") == pytest.approx(40)
    assert watts_of(heater + "[supply a]\nvolts = 24\n[supply b]\nvolts = 48\n") is None


@pytest.mark.parametrize(
    "lines", ["volts = 24", "watts = 0", "watts = 100\nshare = 255", "watts = 100\nshare = a"]
)
def test_without_a_sound_input_there_is_no_power(lines: str) -> None:
    assert watts_of(f"[heater bed]\n{lines}\n") is None
