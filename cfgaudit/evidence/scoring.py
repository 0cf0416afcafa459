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
    free = ~((point <= low) & (slopes > 0) | (point >= high) & (slopes < 0))
    curvature = here.curvature[numpy.ix_(free, free)]
    stiff = curvature + numpy.diag(stiffness * (curvature.diagonal() + 1.0 / STIFFEST))
    step = numpy.zeros(len(point))
    step[free] = -numpy.linalg.solve(stiff, slopes[free])
    found: ndarray = numpy.clip(point + numpy.clip(step, -LONGEST_STEP, LONGEST_STEP), low, high)
    return found
