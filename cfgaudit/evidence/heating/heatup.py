"""A heater's heat-up as recorded: time, temperature and duty from a CSV file, at even times."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from cfgaudit.evidence.recordings.columns import Columns, MeasurementError, read_columns

if TYPE_CHECKING:
    from numpy import ndarray

SAMPLES_AT_LEAST = 20
RISE_AT_LEAST = 15.0
"""K. A heat-up that rises less says nothing of the heater."""
COLDEST, HOTTEST = -60.0, 1000.0
"""°C. What reads less or more is no temperature in °C of a printer's heater."""
POINTS_AT_MOST = 4000
"""More do not make a heater's few numbers any better."""
LONGEST_GAP = 20.0
"""Times the usual interval; a longer one is a gap (common practice, no source)."""
WORDS = {
    "time": ("time", "t", "seconds", "clock"),
    "temperature": ("temperature", "temp", "reading", "measured"),
    "duty": ("duty", "power", "output", "pwm", "share"),
}
UNITS = {
    "time": {"": 1.0, "s": 1.0, "sec": 1.0, "seconds": 1.0, "ms": 1e-3, "min": 60.0},
    "temperature": {"": 1.0, "c": 1.0, "°c": 1.0, "deg c": 1.0, "degc": 1.0, "celsius": 1.0},
    "duty": {"": 0.0, "1": 1.0, "%": 0.01, "percent": 0.01, "per cent": 0.01},
}
"""Of each column: its units with their factors; 0 where the numbers themselves must tell."""
UNIT = re.compile(r"[(\[]\s*([^)\]]*?)\s*[)\]]")


class HeatUp(NamedTuple):
    """Even samples: ``time`` in s from 0, ``temperature`` in °C, ``duty`` as a share of full power, 0 to 1.

    Each duty is the mean over the interval that begins at its time.
    """

    time: ndarray
    temperature: ndarray
    duty: ndarray
    notes: tuple[str, ...] = ()

    @property
    def step(self) -> float:
        """Between two samples, in s."""
        return float(self.time[1] - self.time[0])


def read_heatup(path: Path, columns: Sequence[str] = ()) -> HeatUp:
    """A heat-up, its columns found by their header or named by ``columns`` (time, temperature, duty).

    Raises MeasurementError.
    """
    table = read_columns(path)
    at = dict(zip(WORDS, _indices(path, table, columns), strict=True))
    factors = {meaning: _factor(path, meaning, table.names[index]) for meaning, index in at.items()}
    if len(table.values) < SAMPLES_AT_LEAST:
        raise MeasurementError(
            f"{path} has {len(table.values)} samples, {SAMPLES_AT_LEAST} are the least: record more of it"
        )
    time = table.values[:, at["time"]] * factors["time"]
    temperature = table.values[:, at["temperature"]]
    _refuse_backwards(path, table, time)
    _refuse_temperatures(path, temperature)
    duty, notes = _share(path, table.values[:, at["duty"]], factors["duty"])
    return _evened(time, temperature, duty, notes)


def _indices(path: Path, table: Columns, columns: Sequence[str]) -> tuple[int, ...]:
    """Which columns hold time, temperature and duty."""
    if columns:
        found = tuple(_named(path, table, name.strip()) for name in columns)
        if len(found) != len(WORDS) or len(set(found)) != len(found):
            raise MeasurementError(f"{path}: --columns needs three, each once: TIME,TEMPERATURE,DUTY")
        return found
    if table.names[0] == "column 1":
        if len(table.names) != len(WORDS):
            raise MeasurementError(
                f"{path} has {len(table.names)} columns and no header: name three with --columns "
                "TIME,TEMPERATURE,DUTY"
            )
        return (0, 1, 2)
    return tuple(_worded(path, table, meaning) for meaning in WORDS)


def _named(path: Path, table: Columns, name: str) -> int:
    if name in table.names:
        return table.names.index(name)
    if name.isascii() and name.isdecimal() and len(name) < 6 and 1 <= int(name) <= len(table.names):
        return int(name) - 1
    raise MeasurementError(f'{path} has no column "{name[:30]}": it has {", ".join(table.names)[:80]}')


def _worded(path: Path, table: Columns, meaning: str) -> int:
    found = [at for at, name in enumerate(table.names) if _words(name) & set(WORDS[meaning])]
    if len(found) != 1:
        told = "no column" if not found else "more than one column"
        raise MeasurementError(
            f"{path}: {told} is called {meaning} ({', '.join(table.names)[:60]}): name them with --columns "
            "TIME,TEMPERATURE,DUTY"
        )
    return found[0]


def _words(name: str) -> set[str]:
    return set(re.findall(r"[a-z]+", UNIT.sub(" ", name).casefold()))


def _factor(path: Path, meaning: str, name: str) -> float:
    """To s, °C, or a share of full power."""
    found = UNIT.search(name)
    unit = " ".join(found[1].casefold().split()) if found else ""
    if unit not in UNITS[meaning]:
        allowed = ", ".join(one for one in UNITS[meaning] if one)
        raise MeasurementError(f'{path}: "{unit[:30]}" is no unit of {meaning} here: give it in {allowed}')
    return UNITS[meaning][unit]


def _refuse_backwards(path: Path, table: Columns, time: ndarray) -> None:
    import numpy

    steps = numpy.diff(time)
    if (steps <= 0).any():
        row = int((steps <= 0).argmax()) + 2
        raise MeasurementError(
            f"{path}: the time stands still or goes back at row {row} of the numbers (from line "
            f"{table.first_line} on): measure again, or take that part out"
        )


def _refuse_temperatures(path: Path, temperature: ndarray) -> None:
    low, high = float(temperature.min()), float(temperature.max())
    if low < COLDEST or high > HOTTEST:
        raise MeasurementError(
            f"{path}: the temperature goes from {low:g} to {high:g}: give °C, from a sensor that is whole"
        )
    if high - low < RISE_AT_LEAST or high - float(temperature[0]) < RISE_AT_LEAST:
        raise MeasurementError(
            f"{path}: the temperature rises by less than {RISE_AT_LEAST:g} K: record a heat-up from cold to "
            "hot"
        )


def _share(path: Path, duty: ndarray, factor: float) -> tuple[ndarray, tuple[str, ...]]:
    """The duty as a share of full power; where no unit says it, per cent if it goes beyond 1."""
    low, high = float(duty.min()), float(duty.max())
    if high <= 0:
        raise MeasurementError(f"{path}: the duty is never above 0: record a heat-up")
    stated = factor or (1.0 if high <= 1.0 else 0.01)
    if low < 0 or high * stated > 1.0 + 1e-6:
        raise MeasurementError(
            f"{path}: the duty goes from {low:g} to {high:g}: give shares from 0 to 1, or 0 to 100 %"
        )
    notes = ("the duty is read as per cent, for it goes beyond 1",) if not factor and stated < 1 else ()
    return duty * stated, notes


def _evened(time: ndarray, temperature: ndarray, duty: ndarray, notes: tuple[str, ...]) -> HeatUp:
    """At even times, few enough; what was given between two of them is kept in the mean duty."""
    import numpy

    steps = numpy.diff(time)
    usual, longest = float(numpy.median(steps)), float(steps.max())
    if longest > LONGEST_GAP * usual:
        notes += (f"samples are missing, for {longest:.3g} s at the longest",)
    length = float(time[-1] - time[0])
    count = int(min(POINTS_AT_MOST, max(SAMPLES_AT_LEAST, round(length / usual))))
    even = numpy.linspace(time[0], time[-1], count + 1)
    given = numpy.concatenate([[0.0], numpy.cumsum(duty[:-1] * steps)])
    means = numpy.diff(numpy.interp(even, time, given)) / (length / count)
    return HeatUp(
        even - even[0], numpy.interp(even, time, temperature), numpy.append(means, means[-1]), notes
    )
