"""Whether a signal met the end of its instrument's range."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from numpy import ndarray

IN_A_ROW = 3
"""Samples that stand at the end together before that counts (common practice, no source)."""
STRETCHES = 2
"""How often that must happen: once may be chance."""
LOST = 3.0
"""Finest steps of the signal that must be missing at the top, so that its steps do not explain it."""


def is_clipped(signal: ndarray) -> bool:
    """Whether the largest value of a signal is where it was cut off; ask for its negative as well.

    A wave that comes to its top with a slope d a sample and stands there for L samples, would have risen by
    d L ÷ 4 more (a parabola's height over its chord). A slow wave in coarse steps stands there as long, but
    comes without slope.
    """
    import numpy

    at_end = signal == signal.max()
    if at_end.all() or int(at_end.sum()) < IN_A_ROW * STRETCHES:
        return False
    edges = numpy.diff(numpy.concatenate([[False], at_end, [False]]).astype(numpy.int8))
    starts, ends = numpy.flatnonzero(edges == 1), numpy.flatnonzero(edges == -1)
    long = (ends - starts >= IN_A_ROW) & (starts > 1)
    if int(long.sum()) < STRETCHES:
        return False
    starts, lengths = starts[long], (ends - starts)[long]
    slopes = signal[starts - 1] - signal[starts - 2]
    changes = numpy.abs(numpy.diff(signal))
    return bool(numpy.median(slopes * lengths / 4.0) > LOST * changes[changes > 0].min())
