"""Rows of a recording that lie alone, far from those before and after them: what a loose wire writes."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import sqrt
from statistics import median
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from numpy import ndarray

FAR = 10.0
"""K. What lies closer may be noise, or a coarse sensor's steps (common practice, no source)."""
STEPS = 6.0
"""Times the usual steps around a row. An honest corner, from steep heating to steep cooling, is off by three,
noise hardly ever by more than five."""
AROUND = 5
"""Rows on each side that a row is held against; up to two of them may be odd as well."""
NEAR = 0.7
"""Of FAR: by so much an odd row differs from the very next one at the least, whatever the noise of that."""
PAUSE = 2.0
"""Times the usual interval. A longer one leaves it open what the row at its end should have been."""


class OddRow(NamedTuple):
    """Counted from 0."""

    row: int
    temperature: float
    apart: float
    """K, from the nearer one of the medians before and after."""


def odd_rows(time: ndarray, temperature: ndarray) -> list[OddRow]:
    """Rows that are far beyond both the rows before and those after them, on the same side.

    A step leads from one to the other and so lies beyond one of them only, whatever its height. Each side is
    the median of five rows, and the usual step is the one that three in four of those around stay below, or
    what noise makes all over the recording, so that neither a few rows of noise, nor quantisation, nor a
    second odd row decides. At the ends one side tells alone.
    """
    import numpy

    usual, noise = float(numpy.median(numpy.diff(time))), _noise(temperature)
    values: list[float] = temperature.tolist()
    found = []
    for row in _candidates(temperature):
        before, after = values[max(0, row - AROUND) : row], values[row + 1 : row + 1 + AROUND]
        if not (before and after) and _pauses(time, row, usual):
            continue
        away = [values[row] - median(side) for side in (before, after) if side]
        apart = min(map(abs, away))
        if min(away) * max(away) > 0 and apart > max(FAR, STEPS * max(noise, _usual_step(before, after))):
            found.append(OddRow(row, values[row], apart))
    return found


def _noise(temperature: ndarray) -> float:
    """K. From second differences, which know no ramp: their variance is six times that of white noise, and
    three in four stay below 1.15 of their standard deviations."""
    import numpy

    return float(numpy.quantile(numpy.abs(numpy.diff(temperature, 2)), 0.75)) / sqrt(6.0)


def _usual_step(*sides: Sequence[float]) -> float:
    """What three in four steps from row to row stay below."""
    steps = sorted(abs(after - before) for side in sides for before, after in pairwise(side))
    return steps[3 * (len(steps) - 1) // 4]


def _candidates(temperature: ndarray) -> list[int]:
    """The rows on either side of a large step: few of an honest run, or none."""
    import numpy

    large = numpy.flatnonzero(numpy.abs(numpy.diff(temperature)) > NEAR * FAR)
    return [int(row) for row in numpy.union1d(large, large + 1)]


def _pauses(time: ndarray, row: int, usual: float) -> bool:
    """Whether more time than usual lies between a row at the end and the next one."""
    other = 1 if row == 0 else row - 1
    return abs(float(time[other] - time[row])) > PAUSE * usual
