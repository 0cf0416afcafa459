"""Which part of a long recording is the heat-up: hours of holding or waiting tell no more of a heater."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from numpy import ndarray

RISEN = 0.95
"""The share of the whole rise at which it is over."""
RISES_KEPT = 6.0
"""Times as long as the rise that is kept from its beginning on: enough of the hold to tell gain from time
constant, and little enough for the rise to have hundreds of points (common practice, no source)."""
BEFORE = 0.1
"""Of the rise, that is kept from before it, to tell where it began."""
MINUTE, HOUR = 60.0, 3600.0


class Telling(NamedTuple):
    """The rows from ``first`` to before ``last``."""

    first: int
    last: int


def telling_part(time: ndarray, temperature: ndarray, duty: ndarray) -> Telling:
    """From shortly before the power comes on to some times the rise; ``time`` in s."""
    import numpy

    on = int((duty > 0).argmax())
    low, high = float(temperature[on]), float(temperature[on:].max())
    risen = on + int((temperature[on:] >= low + RISEN * (high - low)).argmax())
    rise = float(time[risen] - time[on])
    bounds = [float(time[on]) - BEFORE * rise, float(time[on]) + RISES_KEPT * rise]
    first, last = numpy.searchsorted(time, bounds)
    return Telling(int(first), int(last))


def cut_note(kept: float, whole: float) -> str:
    """That only a part was looked at, both in s, as one clause."""
    return (
        f"{_duration(kept)} of {_duration(whole)} are looked at, the heat-up with what follows: what was "
        "waited before, or held after, tells no more of the heater"
    )


def _duration(seconds: float) -> str:
    if seconds < 2.0 * MINUTE:
        return f"{seconds:.3g} s"
    return f"{seconds / MINUTE:.3g} min" if seconds < 2.0 * HOUR else f"{seconds / HOUR:.3g} h"
