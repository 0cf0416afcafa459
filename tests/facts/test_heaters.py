"""Power of heaters, and what they give before their guards look."""

from __future__ import annotations

import pytest
from machine.readings import machine_of

from cfgaudit.audit import audit_text
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


def test_what_can_be_no_heater_has_no_power() -> None:
    assert watts_of("[heater bed]\nvolts = 24 V\nohms = 100 k\n") is None


BED = "[heater bed]\ndrive = PD12\nthermometer = PC0\nrating = 150 W\n"
GUARD = "[guard bed]\nwatches = heater bed\nmust gain = 2 K\nwithin = {}\n"


def heat_of(text: str) -> object:
    fact = audit_text({"main.ini": text}).facts.get("heater.bed.heat_before_guard")
    return (fact.value, fact.unit) if fact is not None else None


@pytest.mark.parametrize(
    "guards",
    [
        GUARD.format("60 s"),
        GUARD.format("1 min"),
        GUARD.format("60"),
        GUARD.format("60 s") + "[guard second]\nwatches = heater bed\nmust gain = 5\nwithin = 90 s\n",
    ],
)
def test_power_times_the_shortest_wait_is_the_heat_that_goes_unseen(guards: str) -> None:
    """150 W for 60 s are 9 kJ."""
    assert heat_of(BED + guards) == (pytest.approx(9000.0), "J")


@pytest.mark.parametrize("time", ["60000", "0 s", "a while"])
def test_a_wait_that_is_not_clear_gives_no_heat(time: str) -> None:
    assert heat_of(BED + GUARD.format(time)) is None


def test_a_guard_that_watches_the_sensor_counts() -> None:
    bed = "[heater bed]\ndrive = PD12\nsensor = slab\nrating = 150 W\n[sensor slab]\npin = PC0\n"
    guard = "[guard slab]\nwatches = sensor slab\nmust gain = 2 K\nwithin = 10 s\n"
    assert heat_of(bed + guard) == (pytest.approx(1500.0), "J")
