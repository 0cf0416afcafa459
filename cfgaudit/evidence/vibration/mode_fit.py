"""Second-order responses fitted to a spectrum, by maximum likelihood.

The likelihood is that of averaged periodograms, whose noise grows with the density itself: Σ P/S + ln S
(P. Whittle, Arkiv för Matematik 2 (1953) 423-434, from memory). How modes answer, and how they add up, is not
known beforehand: whatever fits best counts.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from math import exp, log
from typing import TYPE_CHECKING, NamedTuple

from cfgaudit.evidence.vibration.mode_response import (
    Response,
    Way,
    all_ways,
    answer_of,
    density_of,
    density_slopes,
)
from cfgaudit.evidence.vibration.scoring import Place, lowest

if TYPE_CHECKING:
    from numpy import ndarray

NEAR = (0.8, 1.25)
"""The share of a peak's frequency within which its natural frequency is looked for."""
DAMPING = (0.002, 0.7)
STRENGTH = 20.0
"""Natural logarithms by which a strength may differ from its first guess."""
LOWER_FLOOR = 7.0
"""And by which the floor of noise may be lower than its first guess."""
FIRST_DAMPING = 0.05
FAINTEST_FLOOR = 1e-12
"""The share of the highest density below which a floor of noise is but rounding."""


class Fit(NamedTuple):
    """The responses that fit best, how they were taken, and the floor of noise below them."""

    responses: tuple[Response, ...]
    way: Way
    floor: float
    misfit: float
    """The mean of P/S + ln S over all points: the lower the better."""


def fit_responses(
    frequencies: ndarray, density: ndarray, peaks: Sequence[float], ways: Iterable[Way] = ()
) -> Fit:
    """One response near each of ``peaks`` (Hz, at least one), fitted to a density over frequencies.

    Of all ``ways`` (by default every one) the best counts.
    """
    fits = (_fit(frequencies, density, peaks, way) for way in ways or all_ways(len(peaks)))
    return min(fits, key=lambda one: one.misfit)


def fitted_density(frequencies: ndarray, fit: Fit) -> ndarray:
    """The density that a fit comes to, its floor included."""
    answers = [answer_of(frequencies, one, fit.way.shape) for one in fit.responses]
    return fit.floor + density_of(answers, fit.way.signs)


def _fit(frequencies: ndarray, density: ndarray, peaks: Sequence[float], way: Way) -> Fit:
    import numpy

    def look(point: ndarray) -> Place:
        responses, floor = _read(point)
        answers = [answer_of(frequencies, one, way.shape) for one in responses]
        model = floor + density_of(answers, way.signs)
        rises = numpy.array([*density_slopes(answers, way.signs), numpy.full(len(model), floor)]) / model
        share = density / model
        points = len(model)
        value = float((share + numpy.log(model)).mean())
        return Place(point, value, rises @ (1.0 - share) / points, rises @ rises.T / points)

    start = numpy.array(list(_start(frequencies, density, peaks)))
    low, high = numpy.array(list(_bounds(start, peaks))).T
    best = lowest(look, start, low, high)
    responses, floor = _read(best.point)
    return Fit(responses, way, floor, best.value)


def _start(frequencies: ndarray, density: ndarray, peaks: Sequence[float]) -> Iterator[float]:
    """Logarithms: frequency, damping and strength of each mode, and the floor of noise."""
    import numpy

    for peak in peaks:
        height = float(density[int(numpy.abs(frequencies - peak).argmin())])
        yield from (log(peak), log(FIRST_DAMPING), log(height * (2.0 * FIRST_DAMPING) ** 2))
    yield log(float(numpy.quantile(density, 0.05)) + FAINTEST_FLOOR * float(density.max()))


def _bounds(start: ndarray, peaks: Sequence[float]) -> Iterator[tuple[float, float]]:
    for at, peak in enumerate(peaks):
        yield log(peak * NEAR[0]), log(peak * NEAR[1])
        yield log(DAMPING[0]), log(DAMPING[1])
        strength = float(start[3 * at + 2])
        yield strength - STRENGTH, strength + STRENGTH
    floor = float(start[-1])
    yield floor - LOWER_FLOOR, floor + STRENGTH


def _read(point: ndarray) -> tuple[tuple[Response, ...], float]:
    """The responses and the floor that a point of the search means."""
    values = [exp(one) for one in point]
    return tuple(Response(*values[at : at + 3]) for at in range(0, len(values) - 1, 3)), values[-1]
