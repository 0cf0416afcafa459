"""A heater's heat-up: columns to a first-order model with dead time, and what it says of guard and regulator."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from cfgaudit.evidence.columns import Columns, MeasurementError, read_columns
from cfgaudit.evidence.regulator import Plant

if TYPE_CHECKING:
    from numpy import ndarray

SAMPLES_AT_LEAST = 20
RISE_AT_LEAST = 15.0
"""K. A heat-up that rises less says nothing of the heater."""
TOP = 0.8
"""From this share of the way up begins the hot end of the range, where a heater is slowest."""
WORDS = {
    "time": ("time", "t", "seconds"),
    "temperature": ("temperature", "temp"),
    "duty": ("duty", "power", "output"),
}


class HeatUp(NamedTuple):
    """Even samples: ``time`` in s from 0, ``temperature`` in °C, ``duty`` as a share of full power, 0 to 1."""

    time: ndarray
    temperature: ndarray
    duty: ndarray
    notes: tuple[str, ...] = ()


class HeaterFit(NamedTuple):
    """A heater as measured. ``ambient`` in °C; ``residual`` is the root of the mean square, in K."""

    plant: Plant
    ambient: float
    residual: float
    rise_at_top: float
    """K/s at the hot end of what was measured, at full power, by the model."""
    top: float
    """°C, the highest that was measured."""


def read_heatup(path: Path, columns: Sequence[str] = ()) -> HeatUp:
    """Time, temperature and duty from a CSV file, by header or by ``columns`` (names or numbers). Raises
    MeasurementError."""
    import numpy

    table = read_columns(path)
    time, temperature, duty = (table.values[:, at] for at in _indices(path, table, columns))
    if len(time) < SAMPLES_AT_LEAST:
        raise MeasurementError(
            f"{path} has {len(time)} samples, {SAMPLES_AT_LEAST} are the least: record more of it"
        )
    steps = numpy.diff(time)
    if (steps <= 0).any():
        row = int((steps <= 0).argmax()) + 2
        raise MeasurementError(
            f"{path}: the time stands still or goes back at row {row} of the numbers: measure again"
        )
    duty, notes = _share(path, duty)
    if float(temperature.max() - temperature.min()) < RISE_AT_LEAST:
        raise MeasurementError(
            f"{path}: the temperature rises by less than {RISE_AT_LEAST:g} K: record a heat-up from cold to hot"
        )
    even = numpy.arange(time[0], time[-1], float(numpy.median(steps)))
    return HeatUp(
        even - even[0], numpy.interp(even, time, temperature), numpy.interp(even, time, duty), notes
    )


def _indices(path: Path, table: Columns, columns: Sequence[str]) -> tuple[int, int, int]:
    if columns:
        found = [_named(path, table, name.strip()) for name in columns]
        if len(found) != 3 or len(set(found)) != 3:
            raise MeasurementError(f"{path}: --columns needs three: time, temperature, duty")
        return found[0], found[1], found[2]
    if table.names[0] == "column 1":
        if len(table.names) != 3:
            raise MeasurementError(
                f"{path} has {len(table.names)} columns and no header: name three with --columns"
            )
        return 0, 1, 2
    names = [name.casefold() for name in table.names]
    at = [_worded(path, names, meaning, words) for meaning, words in WORDS.items()]
    return at[0], at[1], at[2]


def _named(path: Path, table: Columns, name: str) -> int:
    if name in table.names:
        return table.names.index(name)
    if name.isdecimal() and 1 <= int(name) <= len(table.names):
        return int(name) - 1
    raise MeasurementError(f'{path} has no column "{name}": it has {", ".join(table.names)[:80]}')


def _worded(path: Path, names: Sequence[str], meaning: str, words: Sequence[str]) -> int:
    found = [
        at
        for at, name in enumerate(names)
        if name.startswith(tuple(words)) and not (meaning == "time" and name.startswith("temp"))
    ]
    if len(found) != 1:
        raise MeasurementError(
            f"{path}: {'no column' if not found else 'more than one column'} is called {meaning}: name them with "
            "--columns TIME,TEMPERATURE,DUTY"
        )
    return found[0]


def _share(path: Path, duty: ndarray) -> tuple[ndarray, tuple[str, ...]]:
    """The duty as a share of full power: 0 to 1, or per cent where it goes beyond 1."""
    largest = float(duty.max())
    if largest <= 0:
        raise MeasurementError(f"{path}: the duty is never above 0: record a heat-up")
    if float(duty.min()) < 0 or largest > 100:
        raise MeasurementError(
            f"{path}: the duty goes from {duty.min():g} to {largest:g}: give 0 to 1, or per cent"
        )
    return (duty, ()) if largest <= 1.0 else (duty / 100.0, ("the duty is read as per cent",))


def fit_heater(run: HeatUp) -> HeaterFit:
    """First order plus dead time, by least squares over gain, time constant, dead time and ambient.

    Raises MeasurementError where no such heater explains the run.
    """
    import numpy
    from scipy.optimize import least_squares

    step = float(run.time[1] - run.time[0])
    length = float(run.time[-1])
    start = float(numpy.median(run.temperature[: max(3, len(run.time) // 100)]))
    rise = float(run.temperature.max()) - start

    def misfit(point: ndarray) -> ndarray:
        gain, constant, dead, ambient = point
        return simulated(Plant(gain, constant, dead), run.duty, step, ambient, start) - run.temperature

    best = None
    for constant in (length / 20, length / 5, length):
        begin = numpy.array([rise * 1.5, constant, 2 * step, start])
        bounds = (
            [rise * 0.5, step, 0.0, start - 30.0],
            [rise * 100.0, length * 100.0, length / 3, start + 30.0],
        )
        found = least_squares(misfit, begin, bounds=bounds, x_scale=[rise, constant, max(step, 1.0), 10.0])
        best = found if best is None or found.cost < best.cost else best
    assert best is not None
    gain, constant, dead, ambient = map(float, best.x)
    residual = float(numpy.sqrt(2.0 * best.cost / len(run.time)))
    if residual > 0.15 * rise:
        raise MeasurementError(
            f"no heater of first order explains the run (it is off by {residual:.1f} K): record one plain heat-up, "
            "with the duty that was really given"
        )
    top = float(run.temperature.max())
    hot = start + TOP * rise
    return HeaterFit(Plant(gain, constant, dead), ambient, residual, (gain - (hot - ambient)) / constant, top)


def simulated(plant: Plant, duty: ndarray, step: float, ambient: float, start: float) -> ndarray:
    """The temperature in °C that a heater would have, sampled every ``step`` s, from ``start`` °C on.

    Exact for a duty that is constant between samples: x ← x e^(−Δ/τ) + k u (1 − e^(−Δ/τ)).
    """
    import numpy
    from scipy.signal import lfilter

    times = numpy.arange(len(duty)) * step
    given = numpy.interp(times - plant.dead_time, times, duty, left=0.0)
    kept = float(numpy.exp(-step / plant.time_constant))
    driven = plant.gain * (1.0 - kept) * numpy.concatenate([[0.0], given[:-1]])
    driven[0] = start - ambient
    return ambient + lfilter([1.0], [1.0, -kept], driven)
