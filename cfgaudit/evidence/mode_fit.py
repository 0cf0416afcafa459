"""Second-order responses fitted to a spectrum, by maximum likelihood.

A mode answers with H(r) = N(r) ÷ (1 − r² + 2jζr), r = f ÷ f₀, where N is −r² if the signal follows the acceleration
of what rings, jr its speed, 1 its position, and 1 + 2jζr if it rides on what is shaken. Modes that one excitation
drives add up with their phases, modes of several excitations with their powers; whatever fits best counts.

The likelihood is that of averaged periodograms, whose noise grows with the density itself: Σ P/S + ln S
(P. Whittle, Arkiv för Matematik 2 (1953) 423-434, from memory).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import product
from math import log
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from numpy import ndarray

SHAPES = ("acceleration", "speed", "position", "carried")
NEAR = (0.8, 1.25)
"""The share of a peak's frequency within which its natural frequency is looked for."""
DAMPING = (0.002, 0.7)
STRENGTH = 20.0
"""Natural logarithms by which a strength may differ from its first guess."""
FIRST_DAMPING = 0.05

Signs = tuple[float, ...] | None
"""How modes add up: with these signs of their phases; None where their powers add up."""


class Response(NamedTuple):
    """One mode: Hz, damping ratio, and the strength by which its response is multiplied, squared."""

    frequency: float
    damping: float
    strength: float


class Fit(NamedTuple):
    """The responses that fit best, how they were taken, and the misfit (the lower the better)."""

    responses: tuple[Response, ...]
    shape: str
    misfit: float


def fit_responses(frequencies: ndarray, density: ndarray, peaks: Sequence[float]) -> Fit:
    """One response near each of ``peaks`` (Hz, at least one), fitted to a density over frequencies."""
    fits = (
        _fit(frequencies, density, peaks, shape, signs) for shape in SHAPES for signs in _ways(len(peaks))
    )
    return min(fits, key=lambda one: one.misfit)


def power(frequencies: ndarray, response: Response, shape: str) -> ndarray:
    """The density of one mode alone."""
    found: ndarray = response.strength * abs(_complex(frequencies, response, shape)) ** 2
    return found


def _complex(frequencies: ndarray, response: Response, shape: str) -> ndarray:
    ratio = frequencies / response.frequency
    swing = 2j * response.damping * ratio
    above = {"acceleration": -(ratio**2), "speed": 1j * ratio, "position": 1.0, "carried": 1.0 + swing}[shape]
    found: ndarray = above / (1.0 - ratio**2 + swing)
    return found


def _ways(modes: int) -> Iterator[Signs]:
    for rest in product((1.0, -1.0), repeat=modes - 1):
        yield (1.0, *rest)
    if modes > 1:
        yield None


def _fit(frequencies: ndarray, density: ndarray, peaks: Sequence[float], shape: str, signs: Signs) -> Fit:
    import numpy
    from scipy.optimize import minimize

    def misfit(point: ndarray) -> float:
        model = _density(frequencies, point, shape, signs)
        return float((density / model + numpy.log(model)).mean())

    start = numpy.array(list(_start(frequencies, density, peaks)))
    bounds = [*_bounds(start, peaks), (start[-1] - STRENGTH, start[-1] + STRENGTH)]
    best = minimize(misfit, start, method="L-BFGS-B", bounds=bounds, options={"maxiter": 500})
    return Fit(tuple(_responses(best.x)), shape, float(best.fun))


def _start(frequencies: ndarray, density: ndarray, peaks: Sequence[float]) -> Iterator[float]:
    """Logarithms: frequency, damping and strength of each mode, and the floor of noise."""
    import numpy

    for peak in peaks:
        height = float(density[int(numpy.abs(frequencies - peak).argmin())])
        yield from (log(peak), log(FIRST_DAMPING), log(height * (2.0 * FIRST_DAMPING) ** 2))
    yield log(float(numpy.quantile(density, 0.05)) + 1e-12 * float(density.max()))


def _bounds(start: ndarray, peaks: Sequence[float]) -> Iterator[tuple[float, float]]:
    for at, peak in enumerate(peaks):
        yield log(peak * NEAR[0]), log(peak * NEAR[1])
        yield log(DAMPING[0]), log(DAMPING[1])
        strength = float(start[3 * at + 2])
        yield strength - STRENGTH, strength + STRENGTH


def _responses(point: ndarray) -> Iterator[Response]:
    import numpy

    for at in range(0, len(point) - 1, 3):
        yield Response(*(float(numpy.exp(one)) for one in point[at : at + 3]))


def _density(frequencies: ndarray, point: ndarray, shape: str, signs: Signs) -> ndarray:
    """The density that a point of the search means."""
    import numpy

    floor = numpy.exp(point[-1])
    responses = list(_responses(point))
    if signs is None:
        found: ndarray = floor + sum(power(frequencies, one, shape) for one in responses)
        return found
    whole = sum(
        sign * numpy.sqrt(one.strength) * _complex(frequencies, one, shape)
        for sign, one in zip(signs, responses, strict=True)
    )
    together: ndarray = floor + numpy.abs(whole) ** 2
    return together
