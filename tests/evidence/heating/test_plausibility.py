"""Runs that no heater makes are refused: other units, other heaters; those of real ones are not."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from cfgaudit.evidence.heating.heatup import HeatUp
from cfgaudit.evidence.heating.plausibility import refuse_implausible
from cfgaudit.evidence.heating.regulator import Plant
from cfgaudit.evidence.recordings.columns import MeasurementError
from evidence.simulated_heaters import heat_up

PATH = Path("run.csv")
NOZZLE, BED, CHAMBER = Plant(420.0, 160.0, 4.0), Plant(130.0, 900.0, 9.0), Plant(55.0, 2400.0, 60.0)
HEADERS = frozenset({"time", "temperature"})


def recorded(
    plant: Plant, seconds: float, *, ambient: float = 21.0, units: frozenset[str] = frozenset()
) -> HeatUp:
    run = heat_up(plant, seconds, ambient=ambient)
    return HeatUp(run.time, run.temperature, run.duty, (), units)


def told(run: HeatUp, limit: float | None = 115.0, place: str | None = "bed") -> str:
    with pytest.raises(MeasurementError, match=r"run\.csv: .+ header|run\.csv: .+ cold to hot") as refusal:
        refuse_implausible(PATH, run, "heater bed", limit, place)
    return str(refusal.value)


@pytest.mark.parametrize("ambient", [-15.0, 0.0, 21.0, 35.0, 55.0])
@pytest.mark.parametrize(
    ("plant", "seconds", "place"),
    [(NOZZLE, 150.0, "hotend"), (BED, 900.0, "bed"), (CHAMBER, 3000.0, "chamber"), (NOZZLE, 150.0, None)],
)
def test_what_heaters_make(plant: Plant, seconds: float, place: str | None, ambient: float) -> None:
    refuse_implausible(PATH, recorded(plant, seconds, ambient=ambient), "heater", None, place)


@pytest.mark.parametrize(
    ("plant", "seconds", "place"),
    [
        (Plant(600.0, 40.0, 1.0), 40.0, "hotend"),  # 15 K/s: a small ceramic one
        (Plant(300.0, 700.0, 6.0), 250.0, "hotend"),  # 0.4 K/s: an old one of 12 V
        (Plant(160.0, 110.0, 3.0), 80.0, "bed"),  # 1.5 K/s: a thin plate on mains
        (Plant(60.0, 3600.0, 60.0), 3000.0, "bed"),  # 0.017 K/s: a large cold plate
        (Plant(40.0, 12000.0, 120.0), 9000.0, "chamber"),  # 0.003 K/s: a light bulb in a cupboard
    ],
)
def test_the_strongest_and_the_weakest(plant: Plant, seconds: float, place: str) -> None:
    """Common practice, no source."""
    refuse_implausible(PATH, recorded(plant, seconds), "heater", None, place)


def test_kelvin_and_fahrenheit_without_a_unit() -> None:
    run = recorded(BED, 900.0)
    kelvin = run._replace(temperature=run.temperature + 273.15)
    assert re.search(
        r"the run starts at 29\d and reaches 37\d, but heater bed may reach 115 °C: give the unit",
        told(kelvin),
    )
    assert "in °C no heat-up starts below -20 or above 60: give the unit in the header" in told(kelvin, None)
    fahrenheit = run._replace(temperature=run.temperature * 1.8 + 32.0)
    assert "but heater bed may reach 115 °C: give the unit" in told(fahrenheit)
    assert "in °C no heat-up starts" in told(fahrenheit, None)


def test_a_stated_unit_is_believed() -> None:
    warm = recorded(BED, 900.0, ambient=80.0, units=HEADERS)
    assert "let it get as cold as the room, then record it from cold to hot" in told(warm, 200.0)
    hot = recorded(NOZZLE, 200.0, units=HEADERS)
    assert "but heater bed may reach 115 °C: give the run of this heater" in told(hot)
    with pytest.raises(MeasurementError, match=r"rises by .+: check the unit of time in the header"):
        refuse_implausible(PATH, hot._replace(time=hot.time / 1000.0), "heater", None, None)


@pytest.mark.parametrize(
    ("plant", "seconds", "place", "bound"),
    [
        (NOZZLE, 150.0, "hotend", "no hot end rises faster than 30 K/s"),
        (BED, 900.0, "bed", "no bed rises faster than 4 K/s"),
        (Plant(190.0, 1000.0, 26.0), 700.0, "bed", "no bed rises faster than 4 K/s"),
        (CHAMBER, 3000.0, "chamber", "no chamber rises faster than 1 K/s"),
    ],
)
def test_minutes_and_milliseconds_without_a_unit(
    plant: Plant, seconds: float, place: str, bound: str
) -> None:
    run = recorded(plant, seconds)
    said = told(run._replace(time=run.time / 60.0), None, place)
    assert f"{bound} (common practice, no source): give the unit of time in the header" in said
    assert "at full power" in told(run._replace(time=run.time * 1000.0), None, place)


def test_a_heater_at_little_power_may_be_slow() -> None:
    run = heat_up(NOZZLE._replace(gain=4200.0, time_constant=60000.0), 3000.0, duty=0.2)
    slow = HeatUp(run.time, run.temperature, run.duty)
    refuse_implausible(PATH, slow, "heater", None, "hotend")
    with pytest.raises(MeasurementError, match=r"slower than 0\.05 K/s at full power"):
        refuse_implausible(PATH, slow._replace(duty=run.duty * 5.0), "heater", None, "hotend")
