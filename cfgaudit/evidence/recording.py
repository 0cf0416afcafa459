"""An accelerometer's run: columns to evenly sampled accelerations in mm/s²."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from cfgaudit.evidence.columns import Columns, MeasurementError, read_columns

if TYPE_CHECKING:
    from numpy import ndarray

GRAVITY = 9806.65
"""mm/s², the standard value (3rd CGPM, 1901)."""
TIME_UNITS: Mapping[str, float] = {
    "s": 1.0,
    "sec": 1.0,
    "seconds": 1.0,
    "ms": 1e-3,
    "us": 1e-6,
    "µs": 1e-6,
    "μs": 1e-6,
}
UNITS: Mapping[str, float] = {
    "mm/s2": 1.0, "mm/s²": 1.0, "mm/s^2": 1.0, "m/s2": 1e3, "m/s²": 1e3, "m/s^2": 1e3, "g": GRAVITY, "mg": GRAVITY / 1e3,
}  # fmt: skip
IN_WORDS = {1.0: "mm/s²", 1e3: "m/s²", GRAVITY: "g"}
TIME_WORDS = ("time", "t", "seconds", "timestamp", "clock")
LONGEST_GAP = 5.0
"""Sampling intervals. A longer one is a gap: samples are missing (common practice, no source)."""
UNEVEN = 0.10
"""The share by which intervals may differ, as a standard deviation, before samples are interpolated: less is how the
file rounds its times (common practice, no source)."""
SAMPLES_AT_LEAST = 256
RATE_AT_LEAST = 200.0
"""Hz. Below, no vibration of a frame (up to about 80 Hz) is seen whole (Nyquist, with a margin)."""
CLIPPED_ROWS = 4
"""Extreme values that stand in a row before they count as clipped (common practice, no source)."""


class Recording(NamedTuple):
    """Accelerations in mm/s² by axis letter (or column name), mean taken out, at ``rate`` samples a second."""

    rate: float
    signals: Mapping[str, ndarray]
    notes: tuple[str, ...]
    """What the builder should know of it, each as one clause: resampled, gaps, clipped, unit detected."""

    @property
    def seconds(self) -> float:
        return len(next(iter(self.signals.values()))) / self.rate


class Names(NamedTuple):
    """Which column is which: the time, and the acceleration of every direction with its unit's factor."""

    time: int
    scale: float
    """Of the time, to seconds."""
    signals: Mapping[str, int]
    unit: float | None
    """Factor to mm/s²; None where the header does not say it."""


def read_recording(path: Path, columns: Sequence[str] = ()) -> Recording:
    """The run in a CSV file. ``columns`` names the time column and one or three others, where no header does.

    Raises MeasurementError.
    """
    table = read_columns(path)
    names = _named(path, table, columns) if columns else _recognised(path, table)
    if len(table.values) < SAMPLES_AT_LEAST:
        raise MeasurementError(
            f"{path} has {len(table.values)} samples, {SAMPLES_AT_LEAST} are the least: measure for longer"
        )
    time = table.values[:, names.time] * names.scale
    _refuse_backwards(path, table, time)
    signals = {name: table.values[:, index] for name, index in names.signals.items()}
    unit, notes = _unit(path, names, signals)
    notes += _clipped(signals)
    even, rate, more = _resampled(path, time, {name: signal * unit for name, signal in signals.items()})
    _refuse_still(path, even)
    return Recording(rate, {name: signal - signal.mean() for name, signal in even.items()}, (*notes, *more))


def _parts(name: str) -> tuple[str, str]:
    """``accel x (m/s²)`` to its words and its unit."""
    found = re.search(r"[(\[]\s*([^)\]]+?)\s*[)\]]", name)
    unit = found[1].casefold().replace(" ", "") if found else ""
    bare = re.sub(r"[(\[].*?[)\]]", " ", name).casefold()
    words = [
        word
        for word in re.split(
            r"[^a-zµμ²/^0-9]+|(?<=accel)(?=[xyz]$)|(?<=acc)(?=[xyz]$)|(?<=^a)(?=[xyz]$)", bare
        )
        if word
    ]
    if not unit and words and words[-1] in {**TIME_UNITS, **UNITS} and len(words) > 1:
        unit = words.pop()
    return " ".join(words), unit


def _recognised(path: Path, table: Columns) -> Names:
    """By the header; without one: the first column is the time, one or three others the accelerations."""
    width = table.values.shape[1]
    if table.names[0] == "column 1":
        if width not in (2, 4):
            raise MeasurementError(
                f"{path} has {width} columns and no header: name time and accelerations with --columns, such as "
                "--columns 1,2,3,4"
            )
        return Names(0, 1.0, _letters(range(1, width)), None)
    parts = [_parts(name) for name in table.names]
    times = [index for index, (words, _) in enumerate(parts) if words.split(" ")[0] in TIME_WORDS]
    if len(times) != 1:
        raise MeasurementError(
            f"{path}: no column, or more than one, is called time ({', '.join(table.names)[:60]}): name the columns "
            "with --columns TIME,X,Y,Z"
        )
    letters = {
        words.split(" ")[-1]: index
        for index, (words, _) in enumerate(parts)
        if words.split(" ")[-1] in "xyz" and words
    }
    others = [index for index in range(width) if index != times[0]]
    if not letters and len(others) in (1, 3):
        letters = dict(_letters(others))
    if len(letters) not in (1, 3):
        raise MeasurementError(
            f"{path}: {len(letters)} columns name an axis ({', '.join(table.names)[:60]}): name one or three with "
            "--columns TIME,X,Y,Z"
        )
    scale = _time_scale(path, parts[times[0]][1])
    return Names(
        times[0], scale, letters, _stated_unit(path, [parts[index][1] for index in letters.values()])
    )


def _letters(indices: Sequence[int]) -> Mapping[str, int]:
    return dict(zip("xyz", indices, strict=False)) if len(indices) == 3 else {"a": indices[0]}


def _time_scale(path: Path, unit: str) -> float:
    if unit and unit not in TIME_UNITS:
        raise MeasurementError(f'{path}: "{unit}" is no unit of time: write s, ms or us into the header')
    return TIME_UNITS.get(unit, 1.0)


def _stated_unit(path: Path, units: Sequence[str]) -> float | None:
    stated = {UNITS.get(unit) if unit else None for unit in units}
    if len(stated) > 1 or (None in stated and any(units)):
        raise MeasurementError(
            f"{path}: the columns have different units, or unknown ones ({', '.join(units)}): write g, m/s² or mm/s² "
            "into the header of each"
        )
    return stated.pop()


def _named(path: Path, table: Columns, columns: Sequence[str]) -> Names:
    indices = [_index(path, table, name) for name in columns]
    if len(set(indices)) != len(indices) or len(indices) not in (2, 4):
        raise MeasurementError(f"{path}: --columns needs the time and one or three accelerations, each once")
    parts = [_parts(table.names[index]) for index in indices]
    return Names(
        indices[0],
        _time_scale(path, parts[0][1]),
        _letters(indices[1:]),
        _stated_unit(path, [unit for _, unit in parts[1:]]),
    )


def _index(path: Path, table: Columns, name: str) -> int:
    name = name.strip()
    if name in table.names:
        return table.names.index(name)
    if name.isdecimal() and 1 <= int(name) <= len(table.names):
        return int(name) - 1
    raise MeasurementError(f'{path} has no column "{name}": it has {", ".join(table.names)[:80]}')


def _refuse_backwards(path: Path, table: Columns, time: ndarray) -> None:
    import numpy

    steps = numpy.diff(time)
    if (steps <= 0).any():
        row = int((steps <= 0).argmax()) + 1
        raise MeasurementError(
            f"{path}: the time stands still or goes back at row {row + 1} of the numbers (after line "
            f"{table.first_line}): measure again, or take that part out"
        )


def _unit(path: Path, names: Names, signals: Mapping[str, ndarray]) -> tuple[float, tuple[str, ...]]:
    """The factor to mm/s²; where no header says it, by magnitude: a printer shakes with 0.1 to 10 g."""
    if names.unit is not None:
        return names.unit, ()
    import numpy

    largest = max(float(numpy.abs(signal).max()) for signal in signals.values())
    factor = GRAVITY if largest < 20 else 1e3 if largest < 400 else 1.0
    return factor, (f"no unit is stated; by their size the accelerations are in {IN_WORDS[factor]}",)


def _clipped(signals: Mapping[str, ndarray]) -> tuple[str, ...]:
    """Directions in which the largest value stands several times in a row: the instrument's end was met."""
    import numpy

    told = []
    for name, signal in signals.items():
        at_end = (signal == signal.max()) | (signal == signal.min())
        runs = numpy.convolve(at_end, numpy.ones(CLIPPED_ROWS), "valid")
        if signal.max() > signal.min() and (runs >= CLIPPED_ROWS).any():
            told.append(f"{name} is clipped: the accelerations went beyond the instrument's range")
    return tuple(told)


def _resampled(
    path: Path, time: ndarray, signals: Mapping[str, ndarray]
) -> tuple[Mapping[str, ndarray], float, tuple[str, ...]]:
    """The signals at even times, the rate, and what had to be done for it."""
    import numpy

    steps = numpy.diff(time)
    gaps = steps > LONGEST_GAP * numpy.median(steps)
    middle = float(steps[~gaps].mean())
    rate = 1.0 / middle
    if rate < RATE_AT_LEAST:
        raise MeasurementError(
            f"{path} has {rate:.0f} samples a second, {RATE_AT_LEAST:.0f} are the least: sample faster (is the "
            "time column in seconds?)"
        )
    spread = float(steps[~gaps].std()) / middle
    if not gaps.any() and spread <= UNEVEN:
        return signals, rate, ()
    even = numpy.arange(time[0], time[-1], middle)
    notes = [f"samples came unevenly (by {100 * spread:.0f} %) and are interpolated to {rate:.0f} a second"]
    if gaps.any():
        longest = 1e3 * float(steps.max())
        notes.append(f"{int(gaps.sum())} gaps, the longest {longest:.0f} ms, are bridged by straight lines")
    return {name: numpy.interp(even, time, signal) for name, signal in signals.items()}, rate, tuple(notes)


def _refuse_still(path: Path, signals: Mapping[str, ndarray]) -> None:
    if all(float(signal.std()) < 1e-9 * max(1.0, abs(float(signal.mean()))) for signal in signals.values()):
        raise MeasurementError(
            f"{path}: nothing moves, every value is the same: check the instrument and measure again"
        )
