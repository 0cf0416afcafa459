"""Whether a signal met the end of its instrument's range."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from numpy import ndarray

IN_A_ROW = 3
"""Samples that stand at the end together before that counts (common practice, no source)."""
STRETCHES = 2
"""How often that must happen: once may be chance."""
STEEP = 3.0
"""Times the finest step by which a signal that is cut off jumps to its end. A slow wave in coarse steps
stands at its top as long, but comes there by one step."""


def is_clipped(signal: ndarray) -> bool:
    """Whether the largest value of a signal is where it was cut off; ask for its negative as well."""
    import numpy

    largest = signal.max()
    at_end = signal == largest
    if at_end.all() or int(at_end.sum()) < IN_A_ROW * STRETCHES:
        return False
    edges = numpy.diff(numpy.concatenate([[False], at_end, [False]]).astype(numpy.int8))
    starts, ends = numpy.flatnonzero(edges == 1), numpy.flatnonzero(edges == -1)
    long = (ends - starts >= IN_A_ROW) & (starts > 0)
    if int(long.sum()) < STRETCHES:
        return False
    jumps = largest - signal[starts[long] - 1]
    finest = largest - signal[~at_end].max()
    return bool(numpy.median(jumps) > STEEP * finest)
