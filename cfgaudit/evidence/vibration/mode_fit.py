"""Second-order responses fitted to a spectrum, by maximum likelihood.

The likelihood is that of averaged periodograms, whose noise grows with the density itself: Σ P/S + ln S
(P. Whittle, Arkiv för Matematik 2 (1953) 423-434, from memory). How modes lean and how they add up is not
known beforehand: whatever fits best counts.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from math import exp, log
from typing import TYPE_CHECKING, NamedTuple

from cfgaudit.evidence.vibration.mode_response import (
    Response,
    Signs,
    all_signs,
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
LEAN = (-1.0, 3.0)
"""From position, shaken by what fades with frequency, to acceleration, shaken by what grows with it."""
FIRST_LEAN = 0.5
FAINTEST_FLOOR = 1e-12
"""The share of the highest density below which a floor of noise is but rounding."""


class Fit(NamedTuple):
    """The responses that fit best, how they add up and lean, and the floor of noise below them."""

    responses: tuple[Response, ...]
    signs: Signs
    lean: float
    floor: float
    misfit: float
    """The mean of P/S + ln S over all points: the lower the better."""


def fit_responses(
    frequencies: ndarray, density: ndarray, peaks: Sequence[float], ways: Iterable[Signs] = ()
) -> Fit:
    """One response near each of ``peaks`` (Hz, at least one), fitted to a density over frequencies.

    Of all ``ways`` to add up (by default every one) the best counts.
    """
    fits = (_fit(frequencies, density, peaks, signs) for signs in ways or all_signs(len(peaks)))
    return min(fits, key=lambda one: one.misfit)


def fitted_density(frequencies: ndarray, fit: Fit) -> ndarray:
    """The density that a fit comes to, its floor included."""
    answers = [answer_of(frequencies, one, fit.lean) for one in fit.responses]
    return fit.floor + density_of(answers, fit.signs)


def _fit(frequencies: ndarray, density: ndarray, peaks: Sequence[float], signs: Signs) -> Fit:
    import numpy

    def look(point: ndarray) -> Place:
        responses, lean, floor = _read(point)
        answers = [answer_of(frequencies, one, lean) for one in responses]
        model = floor + density_of(answers, signs)
        rises = numpy.array([*density_slopes(answers, signs), numpy.full(len(model), floor)]) / model
        share = density / model
        points = len(model)
        value = float((share + numpy.log(model)).mean())
        return Place(point, value, rises @ (1.0 - share) / points, rises @ rises.T / points)

    start = numpy.array(list(_start(frequencies, density, peaks)))
    low, high = numpy.array(list(_bounds(start, peaks))).T
    best = lowest(look, start, low, high)
    responses, lean, floor = _read(best.point)
    return Fit(responses, signs, lean, floor, best.value)


def _start(frequencies: ndarray, density: ndarray, peaks: Sequence[float]) -> Iterator[float]:
    """Frequency, damping and strength of each mode, the lean, and the floor; logarithms, except the lean."""
    import numpy

    for peak in peaks:
        height = float(density[int(numpy.abs(frequencies - peak).argmin())])
        yield from (log(peak), log(FIRST_DAMPING), log(height * (2.0 * FIRST_DAMPING) ** 2))
    yield FIRST_LEAN
    yield log(float(numpy.quantile(density, 0.05)) + FAINTEST_FLOOR * float(density.max()))


def _bounds(start: ndarray, peaks: Sequence[float]) -> Iterator[tuple[float, float]]:
    for at, peak in enumerate(peaks):
        yield log(peak * NEAR[0]), log(peak * NEAR[1])
        yield log(DAMPING[0]), log(DAMPING[1])
        strength = float(start[3 * at + 2])
        yield strength - STRENGTH, strength + STRENGTH
    yield LEAN
    floor = float(start[-1])
    yield floor - LOWER_FLOOR, floor + STRENGTH


def _read(point: ndarray) -> tuple[tuple[Response, ...], float, float]:
    """The responses, the lean and the floor that a point of the search means."""
    *modes, lean, floor = (float(one) for one in point)
    values = [exp(one) for one in modes]
    responses = tuple(Response(*values[at : at + 3]) for at in range(0, len(values), 3))
    return responses, lean, exp(floor)
