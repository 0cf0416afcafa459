"""How the samples of a run lie in time, and the same samples at even times."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from cfgaudit.evidence.recordings.band import HIGHEST
from cfgaudit.evidence.recordings.columns import Columns, MeasurementError, line_of_row

if TYPE_CHECKING:
    from numpy import ndarray

LONGEST_GAP = 5.0
"""Sampling intervals. A longer one is a gap: samples are missing (common practice, no source)."""
MISSING_AT_MOST = 0.2
"""The share of a run that may be missing (common practice, no source)."""
SECONDS_AT_LEAST = 0.1
"""Shorter, not even one swing is seen whole."""
UNEVEN = 0.10
"""The share by which intervals may differ, as a standard deviation, before samples are interpolated: less is
how the file rounds its times (common practice, no source)."""
RATE_AT_LEAST, RATE_AT_MOST = 200.0, 200_000.0
"""Hz. Below, no vibration of a frame (up to about 80 Hz) is seen whole (Nyquist, with a margin); no such
instrument is faster."""
SEEN = 0.4
"""The share of the rate up to which vibrations are told: half of it is the end of all (Nyquist)."""


class Sampling(NamedTuple):
    """How the times of a run lie."""

    interval: float
    """In s: the mean, gaps left out."""
    unevenness: float
    """The standard deviation of the intervals as a share of their mean, gaps left out."""
    gaps: tuple[tuple[float, float], ...]
    """Begin and end of each in s, from the first sample."""

    @property
    def longest_gap(self) -> float:
        """In s."""
        return max((end - start for start, end in self.gaps), default=0.0)


def refuse_backwards(path: Path, table: Columns, time: ndarray) -> None:
    """Raise MeasurementError, with the line, unless every time is later than the one before."""
    import numpy

    wrong = numpy.diff(time) <= 0
    if not wrong.any():
        return
    row = int(wrong.argmax()) + 1
    where = f"{path}:{line_of_row(path, table.first_line, row)}"
    if time[row] < time[row - 1]:
        raise MeasurementError(
            f"{where}: the time goes back: take out what stands before or after, or measure again"
        )
    raise MeasurementError(f"{where}: the time stands still: write it with more digits, or measure again")


def sampling_of(path: Path, time: ndarray) -> Sampling:
    """How times in s that go forwards lie. Raises MeasurementError where too little can be made of them."""
    import numpy

    steps = numpy.diff(time)
    is_gap = steps > LONGEST_GAP * numpy.median(steps)
    usual = steps[~is_gap]
    interval = float(usual.mean())
    _refuse_rate(path, 1.0 / interval)
    begins = numpy.flatnonzero(is_gap)
    gaps = zip((time[begins] - time[0]).tolist(), (time[begins + 1] - time[0]).tolist(), strict=True)
    found = Sampling(interval, float(usual.std()) / interval, tuple(gaps))
    _refuse_missing(path, found, float(time[-1] - time[0]), float(steps[is_gap].sum()))
    return found


def _refuse_rate(path: Path, rate: float) -> None:
    if RATE_AT_LEAST <= rate <= RATE_AT_MOST:
        return
    has = f"{rate:,.0f}" if rate >= RATE_AT_LEAST else f"{rate:.3g}"
    faster = "" if rate > RATE_AT_MOST else "sample faster, or "
    raise MeasurementError(
        f"{path} has {has} samples a second, of use are {RATE_AT_LEAST:,.0f} to {RATE_AT_MOST:,.0f}: "
        f"{faster}write the unit of the time into the header"
    )


def _refuse_missing(path: Path, sampling: Sampling, lasts: float, missing: float) -> None:
    if lasts < SECONDS_AT_LEAST:
        raise MeasurementError(
            f"{path} lasts {lasts:.3g} s, {SECONDS_AT_LEAST:g} s are the least: measure for longer"
        )
    if missing > MISSING_AT_MOST * lasts:
        gaps = "one gap" if len(sampling.gaps) == 1 else f"{len(sampling.gaps)} gaps"
        raise MeasurementError(
            f"{path}: {missing:.3g} s of the run are missing in {gaps}: cut out a part without gaps, or "
            "measure again"
        )


def sampling_notes(sampling: Sampling) -> tuple[str, ...]:
    """What the builder should know of that, each as one clause."""
    notes = []
    rate = 1.0 / sampling.interval
    if sampling.unevenness > UNEVEN:
        by = f"{100.0 * sampling.unevenness:.0f} %"
        notes.append(f"samples came unevenly (by {by}) and are interpolated to {rate:.0f} a second")
    if sampling.gaps:
        many = "1 gap" if len(sampling.gaps) == 1 else f"{len(sampling.gaps)} gaps"
        notes.append(f"{many}, up to {1e3 * sampling.longest_gap:.0f} ms long, bridged by straight lines")
    if SEEN * rate < HIGHEST:
        notes.append(f"at {rate:.0f} samples a second nothing beyond {SEEN * rate:.0f} Hz can be told")
    return tuple(notes)


def evenly(time: ndarray, signals: Mapping[str, ndarray], sampling: Sampling) -> Mapping[str, ndarray]:
    """The signals at even times: as they are, or interpolated by straight lines."""
    if not sampling.gaps and sampling.unevenness <= UNEVEN:
        return signals
    import numpy

    even = numpy.arange(time[0], time[-1], sampling.interval)
    return {name: numpy.interp(even, time, signal) for name, signal in signals.items()}
