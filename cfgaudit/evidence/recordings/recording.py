"""An accelerometer's run: columns to evenly sampled accelerations in mm/s²."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import hypot
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from cfgaudit.evidence.recordings.channels import (
    GRAVITY,
    MICROSECOND,
    MILLISECOND,
    NANOSECOND,
    SECOND,
    UNNAMED,
    Channels,
    find_channels,
)
from cfgaudit.evidence.recordings.clipping import is_clipped
from cfgaudit.evidence.recordings.columns import Columns, MeasurementError, read_columns
from cfgaudit.evidence.recordings.sampling import evenly, refuse_backwards, sampling_notes, sampling_of

if TYPE_CHECKING:
    from numpy import ndarray

IN_WORDS = {1.0: "mm/s²", 1e3: "m/s²", GRAVITY: "g"}
TIMES_IN_WORDS = {MILLISECOND: "ms", MICROSECOND: "µs", NANOSECOND: "ns"}
SLOWEST = 10.0
"""Samples a second. Nobody records vibrations so slowly: a time that seems so has another unit."""
LIKE_GRAVITY = 0.3
"""The share by which an instrument's mean may be off gravity and still be it: offset, and tilt."""
CALM = 16
"""The calmest of so many parts of a run tells what is there at rest."""
RANGE_IN_G = 200.0
"""The range of instruments for hard blows; those for vibration end at 16 g (common practice, no source)."""
LARGEST_IN_G, LARGEST_IN_M = 20.0, 400.0
"""Numbers up to which accelerations are in g, and in m/s²: a printer shakes with 0.1 to 20 g (common
practice, no source)."""
LARGEST = 1e4 * GRAVITY
"""mm/s². No instrument on a printer measures more, and no unit in use is smaller."""
LATEST = 1e20
"""Nanoseconds since 1970 are less, in any unit."""
SAMPLES_AT_LEAST = 256
STILL = 1e-9
"""The share of the largest value below which a deviation is nothing but rounding."""


class Recording(NamedTuple):
    """Accelerations in mm/s² by axis letter (``a`` if it has none), at ``rate`` Hz, their means taken out."""

    rate: float
    signals: Mapping[str, ndarray]
    notes: tuple[str, ...]
    """What the builder should know of it, each as one clause: resampled, gaps, clipped, unit detected."""
    gaps: tuple[tuple[float, float], ...] = ()
    """In which the signals are bridged by straight lines: begin and end in s from the first sample."""
    clipped: tuple[str, ...] = ()
    """The directions in which the instrument's end was met."""

    @property
    def seconds(self) -> float:
        return len(next(iter(self.signals.values()))) / self.rate


def read_recording(path: Path, columns: Sequence[str] = ()) -> Recording:
    """The run in a CSV file. ``columns`` names the time column and one or three others, where no header does.

    Raises MeasurementError.
    """
    table = read_columns(path)
    channels = find_channels(path, table, columns)
    _refuse_few(path, table)
    raw = {name: table.values[:, at] for name, at in channels.signals.items()}
    _refuse_absurd(path, table.values[:, channels.time], raw)
    time, time_notes = _in_seconds(table.values[:, channels.time], channels.time_unit)
    refuse_backwards(path, table, time)
    unit, unit_notes = _unit(channels, raw)
    sampling = sampling_of(path, time)
    clipped = _clipped(raw)
    notes = (*time_notes, *unit_notes, *map(clipping_note, clipped), *sampling_notes(sampling))
    even = evenly(time, raw, sampling)
    signals = {name: (signal - signal.mean()) * unit for name, signal in even.items()}
    return Recording(1.0 / sampling.interval, signals, notes, sampling.gaps, clipped)


def _refuse_few(path: Path, table: Columns) -> None:
    if (rows := len(table.values)) < SAMPLES_AT_LEAST:
        has = "one sample" if rows == 1 else f"{rows} samples"
        raise MeasurementError(f"{path} has {has}, {SAMPLES_AT_LEAST} are the least: measure for longer")


def _refuse_absurd(path: Path, time: ndarray, raw: Mapping[str, ndarray]) -> None:
    """Numbers that are no times or accelerations in any unit, and an instrument that did not move."""
    import numpy

    largest = max(float(numpy.abs(signal).max()) for signal in raw.values())
    latest = float(numpy.abs(time).max())
    if largest > LARGEST or latest > LATEST:
        what = f"times of {latest:.0e}" if latest > LATEST else f"accelerations of {largest:.0e}"
        raise MeasurementError(
            f"{path} has {what}, which cannot be in any unit: see whether its columns are as its header says"
        )
    if all(float(numpy.ptp(signal)) <= STILL * largest for signal in raw.values()):
        raise MeasurementError(
            f"{path}: nothing moves, every acceleration is the same: check the instrument and measure again"
        )


def _in_seconds(time: ndarray, unit: float | None) -> tuple[ndarray, tuple[str, ...]]:
    """The times in s; where no header says their unit, by how fast samples would come."""
    if unit is not None:
        return time * unit, ()
    import numpy

    interval = float(numpy.median(numpy.abs(numpy.diff(time))))
    fast = (one for one in (SECOND, MILLISECOND, MICROSECOND) if interval * one < 1.0 / SLOWEST)
    unit = next(fast, NANOSECOND)
    if unit == SECOND:
        return time, ()
    return time * unit, (f"no unit of time is stated; by their size the times are in {TIMES_IN_WORDS[unit]}",)


def _unit(channels: Channels, raw: Mapping[str, ndarray]) -> tuple[float, tuple[str, ...]]:
    """The factor to mm/s²; where no header says it, by gravity if it was recorded, else by magnitude."""
    if channels.unit is not None:
        return channels.unit, ()
    import numpy

    largest = max(float(numpy.abs(signal).max()) for signal in raw.values())
    levels = hypot(*(float(signal.mean()) for signal in raw.values())), _at_rest(raw)
    for one in IN_WORDS:
        like = all(abs(level * one / GRAVITY - 1.0) < LIKE_GRAVITY for level in levels)
        if like and largest * one <= RANGE_IN_G * GRAVITY:
            return one, (f"no unit is stated; gravity, which was recorded too, says {IN_WORDS[one]}",)
    factor = GRAVITY if largest < LARGEST_IN_G else 1e3 if largest < LARGEST_IN_M else 1.0
    return factor, (f"no unit is stated; by their size the accelerations are in {IN_WORDS[factor]}",)


def _at_rest(raw: Mapping[str, ndarray]) -> float:
    """What stands there where it is calmest: the length of the medians in the part that scatters least.

    The mean of a run that swings about 0 is left to chance, and may be 1 as well.
    """
    import numpy

    signals = numpy.array(list(raw.values()))
    parts = numpy.array_split(signals, CALM, axis=1)
    calmest = min(parts, key=lambda part: float(part.var(axis=1).sum()))
    return float(numpy.linalg.norm(numpy.median(calmest, axis=1)))


def _clipped(raw: Mapping[str, ndarray]) -> tuple[str, ...]:
    """Directions in which the instrument's end was met."""
    return tuple(name for name, signal in raw.items() if is_clipped(signal) or is_clipped(-signal))


def clipping_note(name: str) -> str:
    """That a direction is clipped, as one clause."""
    direction = "the acceleration" if name == UNNAMED else name
    return f"{direction} is clipped: it went beyond the instrument's range"
