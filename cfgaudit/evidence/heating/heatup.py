"""A heater's heat-up as recorded: time, temperature and duty from a CSV file, at even times."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from cfgaudit.evidence.heating.header_units import CELSIUS, SECOND, Unit, stated_unit
from cfgaudit.evidence.heating.holding import cut_note, telling_part
from cfgaudit.evidence.heating.odd_rows import odd_rows
from cfgaudit.evidence.recordings.channels import BRACKETED
from cfgaudit.evidence.recordings.columns import Columns, MeasurementError, line_of_row, read_columns

if TYPE_CHECKING:
    from numpy import ndarray

SAMPLES_AT_LEAST = 20
RISE_AT_LEAST = 15.0
"""K. A heat-up that rises less says nothing of the heater."""
COLDEST, HOTTEST = -60.0, 1000.0
"""°C. What reads less or more is no temperature in °C of a printer's heater."""
ENDLESS = 1e6
"""°C. What is farther off is refused anyhow."""
POINTS_AT_MOST = 4000
"""More do not make a heater's few numbers any better."""
LONGEST_GAP = 20.0
"""Times the usual interval; a longer one is a gap (common practice, no source)."""
WORDS = {
    "time": ("time", "t", "seconds", "clock"),
    "temperature": ("temperature", "temp", "reading", "measured"),
    "duty": ("duty", "power", "output", "pwm", "share"),
}


class HeatUp(NamedTuple):
    """Even samples: ``time`` in s from 0, ``temperature`` in °C, ``duty`` as a share of full power, 0 to 1.

    Each duty is the mean over the interval that begins at its time.
    """

    time: ndarray
    temperature: ndarray
    duty: ndarray
    notes: tuple[str, ...] = ()
    units: frozenset[str] = frozenset()
    """Which of time, temperature and duty have their unit in the header."""
    gap: float = 0.0
    """s, for which samples are missing at the longest; 0 where none are."""

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
    units = {meaning: stated_unit(path, meaning, table.names[index]) for meaning, index in at.items()}
    if len(table.values) < SAMPLES_AT_LEAST:
        there = "one sample" if len(table.values) == 1 else f"{len(table.values)} samples"
        raise MeasurementError(f"{path} has {there}, {SAMPLES_AT_LEAST} are the least: record more of it")
    time = table.values[:, at["time"]] * (units["time"] or SECOND).factor
    degrees = units["temperature"] or CELSIUS
    temperature = table.values[:, at["temperature"]] * degrees.factor + degrees.offset
    _refuse_backwards(path, table, time)
    _refuse_odd_rows(path, table, time, temperature)
    _refuse_temperatures(path, temperature)
    duty, notes = _share(path, table.values[:, at["duty"]], units["duty"])
    stated = frozenset(meaning for meaning, unit in units.items() if unit is not None)
    return _shortened(time, temperature, duty, notes)._replace(units=stated)


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
    return set(re.findall(r"[a-z]+", BRACKETED.sub(" ", name).casefold()))


def _refuse_backwards(path: Path, table: Columns, time: ndarray) -> None:
    import numpy

    steps = numpy.diff(time)
    if (steps <= 0).any():
        line = line_of_row(path, table.first_line, int((steps <= 0).argmax()) + 1)
        raise MeasurementError(
            f"{path}:{line}: the time stands still or goes back: measure again, or take that part out"
        )


def _refuse_odd_rows(path: Path, table: Columns, time: ndarray, temperature: ndarray) -> None:
    """A single row far from its neighbours: least squares would bend the whole model towards it."""
    found = odd_rows(time, temperature.clip(-ENDLESS, ENDLESS))
    if not found:
        return
    first = found[0]
    line = line_of_row(path, table.first_line, first.row)
    told = f"{path}:{line}: {first.temperature:.4g} °C, {first.apart:.3g} K from its neighbours"
    if len(found) == 1:
        raise MeasurementError(f"{told}: take that row out")
    more = f"and {len(found) - 1} more such rows" if len(found) > 2 else "and another such row"
    raise MeasurementError(f"{told}, {more}: look for a loose wire, and take them out or measure again")


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


def _share(path: Path, duty: ndarray, unit: Unit | None) -> tuple[ndarray, tuple[str, ...]]:
    """The duty as a share of full power; where no unit says it, per cent if it goes beyond 1."""
    low, high = float(duty.min()), float(duty.max())
    if high <= 0:
        raise MeasurementError(f"{path}: the duty is never above 0: record a heat-up")
    stated = unit.factor if unit is not None else 1.0 if high <= 1.0 else 0.01
    if low < 0 or high * stated > 1.0 + 1e-6:
        raise MeasurementError(
            f"{path}: the duty goes from {low:g} to {high:g}: give shares from 0 to 1, or 0 to 100 %"
        )
    told = "the duty is read as per cent, for it goes beyond 1"
    notes = (told,) if unit is None and stated < 1 else ()
    return duty * stated, notes


def _shortened(time: ndarray, temperature: ndarray, duty: ndarray, notes: tuple[str, ...]) -> HeatUp:
    """Of a run with too many samples for its rise to keep them, the part that tells."""
    if len(time) <= POINTS_AT_MOST:
        return _evened(time, temperature, duty, notes)
    first, last = telling_part(time, temperature, duty)
    if last - first < SAMPLES_AT_LEAST or last - first == len(time):
        return _evened(time, temperature, duty, notes)
    some = slice(first, last)
    told = cut_note(float(time[last - 1] - time[first]), float(time[-1] - time[0]))
    return _evened(time[some], temperature[some], duty[some], (*notes, told))


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
        even - even[0],
        numpy.interp(even, time, temperature),
        numpy.append(means, means[-1]),
        notes,
        gap=longest if longest > LONGEST_GAP * usual else 0.0,
    )
