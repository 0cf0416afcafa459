"""Input shapers: a move split into impulses that cancel the vibration of one another.

Frequencies in Hz, times in s; a damping ratio is a number from 0 to below 1. With ω = 2πf and ω_d = ω√(1−ζ²)
the damped period is T = 2π ÷ ω_d, and K = exp(−ζπ ÷ √(1−ζ²)) is what half a period leaves of a vibration.
Each design names its source.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from math import comb, cos, exp, pi, sqrt
from typing import NamedTuple

SINGER = (
    "N. C. Singer, W. P. Seering, J. Dynamic Systems, Measurement, and Control 112 (1990) 76-82 (from memory)"
)
SINGHOSE = "W. Singhose, W. Seering, N. Singer, J. Mechanical Design 116 (1994) 654-659 (from memory)"
VAUGHAN = "J. Vaughan, A. Yano, W. Singhose, J. Sound and Vibration 315 (2008) 797-815 (from memory)"
PRACTICE = "three impulses over 3/4 of a period: common practice, no source"

TOLERATED = 0.05
"""The share of the vibration that the EI shapers leave on purpose, and up to which a frequency is damped."""


class Impulse(NamedTuple):
    """A share of the move (all shares add up to 1), and its delay in s."""

    share: float
    time: float


Impulses = tuple[Impulse, ...]


@lru_cache(maxsize=256)
def impulses(kind: str, frequency: float, damping: float = 0.0) -> Impulses:
    """The impulses of the shaper ``kind``, one of `SHAPERS`, for a vibration of ``frequency`` Hz.

    Raises ValueError for another kind, and unless the frequency is above 0 and 0 ≤ ``damping`` < 1.
    """
    if kind not in SHAPERS:
        raise ValueError(f"no shaper is called {kind}")
    if not frequency > 0:
        raise ValueError(f"the frequency must be above 0, not {frequency:g}")
    if not 0 <= damping < 1:
        raise ValueError(f"the damping ratio must be from 0 to below 1, not {damping:g}")
    spacing, weights, _ = SHAPERS[kind]
    root = sqrt(1.0 - damping**2)
    left = exp(-damping * 2.0 * pi * spacing / root)
    heights = [weight * left**rank for rank, weight in enumerate(weights)]
    whole, delay = sum(heights), spacing / (frequency * root)
    return tuple(Impulse(height / whole, rank * delay) for rank, height in enumerate(heights))


def _derivatives(order: int) -> tuple[float, ...]:
    """Zero vibration, and zero in that many derivatives by the frequency: binomial weights."""
    return tuple(float(comb(order + 1, rank)) for rank in range(order + 2))


def _one_hump(left: float) -> tuple[float, ...]:
    return (1.0 + left) / 4.0, (1.0 - left) / 2.0, (1.0 + left) / 4.0


def _two_humps(left: float) -> tuple[float, ...]:
    root = (left**2 * (sqrt(1.0 - left**2) + 1.0)) ** (1.0 / 3.0)
    outer = (3.0 * root**2 + 2.0 * root + 3.0 * left**2) / (16.0 * root)
    return outer, 0.5 - outer, 0.5 - outer, outer


def _three_humps(left: float) -> tuple[float, ...]:
    outer = (1.0 + 3.0 * left + 2.0 * sqrt(2.0 * (left**2 + left))) / 16.0
    second = (1.0 - left) / 4.0
    return outer, second, 1.0 - 2.0 * (outer + second), second, outer


class Design(NamedTuple):
    """Impulses at equal distances: ``spacing`` in damped periods, ``weights`` as they are without damping."""

    spacing: float
    weights: Sequence[float]
    source: str


SHAPERS: Mapping[str, Design] = {
    "ZV": Design(1 / 2, _derivatives(0), SINGER),
    "MZV": Design(3 / 8, (1.0, -2.0 * cos(3.0 * pi / 4.0), 1.0), PRACTICE),
    "ZVD": Design(1 / 2, _derivatives(1), SINGER),
    "ZVDD": Design(1 / 2, _derivatives(2), SINGER),
    "ZVDDD": Design(1 / 2, _derivatives(3), SINGER),
    "EI": Design(1 / 2, _one_hump(TOLERATED), SINGHOSE),
    "two-hump EI": Design(1 / 2, _two_humps(TOLERATED), VAUGHAN),
    "three-hump EI": Design(1 / 2, _three_humps(TOLERATED), VAUGHAN),
}
"""By the name that the trade uses. With damping, each later weight shrinks by what the spacing leaves."""
