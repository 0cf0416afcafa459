"""Heat-ups that no heater makes: in another unit than they are read in, or of another heater.

A model fits them as well as any, so nothing later on would show it.
"""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

from cfgaudit.evidence.heating.heatup import HeatUp
from cfgaudit.evidence.recordings.columns import MeasurementError

STARTS = (-20.0, 60.0)
"""°C between which a heater stands before it heats, in a cold shed or a warm chamber (common practice, no
source)."""
ABOVE_LIMIT = 20.0
"""K by which a heater may have been hotter than its upper limit allows (common practice, no source)."""
PARTS = (0.1, 0.5)
"""Between these parts of the whole rise is measured how fast it is."""


class Rates(NamedTuple):
    """K/s. ``fastest`` of a temperature as recorded, ``slowest`` of what full power would make."""

    slowest: float
    fastest: float
    what: str


RATES = {
    "hotend": Rates(0.05, 30.0, "hot end"),
    "bed": Rates(0.002, 4.0, "bed"),
    "chamber": Rates(0.0002, 1.0, "chamber"),
}
"""Several times beyond the strongest and the weakest that are built (common practice, no source)."""
ANY = Rates(0.0002, 30.0, "heater")


def refuse_implausible(path: Path, run: HeatUp, title: str, limit: float | None, place: str | None) -> None:
    """Raise MeasurementError where a run cannot be that of a heater.

    ``limit`` is its upper limit in °C; ``place`` what it heats: a key of RATES, or None where nobody knows.
    """
    _refuse_temperatures(path, run, title, limit)
    _refuse_rate(path, run, title, RATES.get(place or "", ANY))


def _refuse_temperatures(path: Path, run: HeatUp, title: str, limit: float | None) -> None:
    start, top = float(run.temperature[0]), float(run.temperature.max())
    stated = "temperature" in run.units
    runs = f"{path}: the run starts at {start:.0f} and reaches {top:.0f}"
    if limit is not None and top > limit + ABOVE_LIMIT:
        advice = (
            "give the run of this heater, from cold to hot"
            if stated
            else "give the unit in the header, such as temperature (°C), or the run of this heater"
        )
        raise MeasurementError(
            f"{runs}{' °C' if stated else ''}, but {title} may reach {limit:g} °C: {advice}"
        )
    if STARTS[0] <= start <= STARTS[1]:
        return
    if stated:
        raise MeasurementError(f"{runs} °C: let it get as cold as the room, then record it from cold to hot")
    raise MeasurementError(
        f"{runs}, and in °C no heat-up starts below {STARTS[0]:.0f} or above {STARTS[1]:.0f}: give the unit "
        "in the header, such as temperature (K), or record it from cold to hot"
    )


def _refuse_rate(path: Path, run: HeatUp, title: str, rates: Rates) -> None:
    rate, power = _rise(run)
    if rate <= rates.fastest and rate >= rates.slowest * power:
        return
    told = f"no {rates.what} rises faster than {rates.fastest:g} K/s"
    if rate < rates.fastest:
        told = f"no {rates.what} rises slower than {rates.slowest:g} K/s at full power"
    read, advice = "", "check the unit of time in the header"
    if "time" not in run.units:
        read = "read in s, "
        advice = "give the unit of time in the header, such as time (min) or time (ms)"
    told = f"{told} (common practice, no source)"
    raise MeasurementError(f"{path}: {read}{title} rises by {rate:.2g} K/s, and {told}: {advice}")


def _rise(run: HeatUp) -> tuple[float, float]:
    """K/s between two parts of the whole rise, and the mean duty that made it."""
    low = float(run.temperature[0])
    rise = float(run.temperature.max()) - low
    first, last = (low + part * rise for part in PARTS)
    end = int((run.temperature >= last).argmax())
    start = end - 1 - int((run.temperature[:end][::-1] <= first).argmax())
    seconds = float(run.time[end] - run.time[start])
    gained = float(run.temperature[end] - run.temperature[start])
    return gained / seconds, float(run.duty[start:end].mean())
