"""The lowest place of a likelihood, by scoring (R. A. Fisher, Annals of Eugenics 7 (1935), from memory).

Newton's steps with the expected curvature, made shorter where they would climb (K. Levenberg, Quarterly of
Applied Mathematics 2 (1944) 164-168, from memory). Likelihoods of spectra need some twenty steps.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from numpy import ndarray

STEPS_AT_MOST = 80
LONGEST_STEP = 1.0
FIRST_STIFFNESS, STIFFEST = 1e-2, 1e9
SOFTER, STIFFER = 0.2, 5.0
FLAT = 1e-20
"""A curvature that keeps what has none from being divided by."""
SAME = 1e-8
"""A gain that ends the search."""


class Place(NamedTuple):
    """A point of the search with its value, the slopes there, and the expected curvature (a matrix)."""

    point: ndarray
    value: float
    slopes: ndarray
    curvature: ndarray


def lowest(look: Callable[[ndarray], Place], start: ndarray, low: ndarray, high: ndarray) -> Place:
    """The lowest place between ``low`` and ``high`` that is found from ``start``."""
    here = look(start)
    stiffness = FIRST_STIFFNESS
    for _ in range(STEPS_AT_MOST):
        there = look(_next(here, stiffness, low, high))
        gain = here.value - there.value
        if gain > 0:
            here, stiffness = there, max(stiffness * SOFTER, 1.0 / STIFFEST)
        else:
            stiffness *= STIFFER
        if 0 <= gain < SAME or stiffness > STIFFEST:
            break
    return here


def _next(here: Place, stiffness: float, low: ndarray, high: ndarray) -> ndarray:
    """One step downhill; what stands at its bound and would go beyond stays there."""
    import numpy

    point, slopes = here.point, here.slopes
    curvature = here.curvature + numpy.diag(stiffness * here.curvature.diagonal() + FLAT)
    free = ~((point <= low) & (slopes > 0) | (point >= high) & (slopes < 0))
    step = _step(curvature, slopes, free, numpy.zeros(len(point)))
    if (too_long := numpy.abs(step) > LONGEST_STEP).any():
        shortened = numpy.where(too_long, numpy.clip(step, -LONGEST_STEP, LONGEST_STEP), 0.0)
        step = _step(curvature, slopes, free & ~too_long, shortened)
    found: ndarray = numpy.clip(point + numpy.clip(step, -LONGEST_STEP, LONGEST_STEP), low, high)
    return found


def _step(curvature: ndarray, slopes: ndarray, free: ndarray, given: ndarray) -> ndarray:
    """Newton's step in what is free, the rest of it being given."""
    import numpy

    step = given.copy()
    if free.any():
        against = slopes[free] + curvature[numpy.ix_(free, ~free)] @ given[~free]
        step[free] = -numpy.linalg.solve(curvature[numpy.ix_(free, free)], against)
    return step
