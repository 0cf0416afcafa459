"""Which input shaper suits a measured spectrum: every shaper of the family at its best frequency."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, NamedTuple

from cfgaudit.evidence.spectrum import HIGHEST, LOWEST, Spectrum, in_band
from cfgaudit.physics.shapers import SHAPERS, impulses
from cfgaudit.physics.shaping import (
    BUDGET,
    acceleration_ceiling,
    residual_vibration,
    rounding,
    spread,
    tolerated_band,
)

if TYPE_CHECKING:
    from numpy import ndarray

RATIO_AT_MOST = 6.0
"""Frequency ÷ the shaper's, up to which its curve is tabled; beyond, it goes on as at the end."""
RATIOS = 1201
FREQUENCIES_STEP = 0.01
"""The step, as a share, between the frequencies that are tried."""
AS_GOOD = 0.005
"""By how much more vibration may remain than at the very best, if less is rounded for it."""
NOISE = 6.0
"""How many times weaker than its strongest a density is left out: what stands beside a peak is the forced response of
that one mode, and noise; no mode of its own (common practice, no source)."""
LEAVES = 0.10
"""The share of the vibration that a shaper may leave (common practice, no source)."""


class Candidate(NamedTuple):
    """One shaper at one frequency, held against a measured spectrum."""

    kind: str
    frequency: float
    damping: float
    remains: float
    """The share of the measured vibration (root of the energy) that the shaper leaves, 0 to 1."""
    rounding: float | None
    """mm, at the acceleration that is configured; None where none is."""
    ceiling: float
    """mm/s² within the rounding budget."""
    band: tuple[float, float] | None
    """Hz between which at most 5 % of a vibration remains."""


class Choice(NamedTuple):
    """All shapers at their best frequencies, the configured one as it is, and the recommended one with the reason."""

    candidates: tuple[Candidate, ...]
    configured: Candidate | None
    recommended: Candidate
    reason: str


def remaining(spectrum: Spectrum, kind: str, frequency: float, damping: float) -> float:
    """The share of the vibration in a spectrum that a shaper leaves: √(Σ S(f) V(f)² ÷ Σ S(f)).

    V is the residual vibration after the last impulse (physics.shaping). What is far below the strongest counts
    as noise and not at all.
    """
    import numpy

    density = numpy.where(spectrum.density > spectrum.density.max() / NOISE, spectrum.density, 0.0)
    left = numpy.interp(spectrum.frequencies / frequency, *_curve(kind, round(damping, 3)))
    return float(numpy.sqrt((density * left**2).sum() / density.sum()))


@cache
def _curve(kind: str, damping: float) -> tuple[ndarray, ndarray]:
    """The residual vibration over the frequency ratio: a shaper's impulses scale with its frequency."""
    import numpy

    shaper = impulses(kind, 1.0, damping)
    ratios = numpy.linspace(0.0, RATIO_AT_MOST, RATIOS)
    return ratios, numpy.array([residual_vibration(shaper, float(ratio), damping) for ratio in ratios])


def candidate(
    spectrum: Spectrum, kind: str, frequency: float, damping: float, acceleration: float | None, budget: float
) -> Candidate:
    """One shaper held against a spectrum. ``acceleration`` in mm/s², ``budget`` in mm."""
    shaper = impulses(kind, frequency, damping)
    moment = spread(shaper)
    return Candidate(
        kind,
        frequency,
        damping,
        remaining(spectrum, kind, frequency, damping),
        None if acceleration is None else rounding(acceleration, moment),
        acceleration_ceiling(moment, budget),
        tolerated_band(shaper, frequency, damping),
    )


def best_frequency(spectrum: Spectrum, kind: str, damping: float) -> float:
    """The highest frequency at which a shaper leaves hardly more than at its best: the higher, the less it rounds."""
    low, high = LOWEST, HIGHEST
    tried = []
    frequency = low
    while frequency <= high:
        tried.append((remaining(spectrum, kind, frequency, damping), frequency))
        frequency *= 1.0 + FREQUENCIES_STEP
    least = min(left for left, _ in tried)
    return max(one for left, one in tried if left <= least + AS_GOOD)


def choose_shaper(
    spectrum: Spectrum,
    damping: float,
    *,
    configured: tuple[str, float, float] | None,
    acceleration: float | None,
    budget: float = BUDGET,
    leaves: float = LEAVES,
) -> Choice:
    """Every shaper at its best frequency for a measured spectrum, and which one to take.

    ``damping`` is the measured ratio, ``configured`` kind, frequency and damping as they are set now,
    ``acceleration`` the configured one in mm/s², ``budget`` how many mm a full reversal may be rounded, ``leaves`` the
    share of the vibration that may remain.
    """
    band = in_band(spectrum)
    found = tuple(
        candidate(band, kind, best_frequency(band, kind, damping), damping, acceleration, budget)
        for kind in SHAPERS
    )
    now = None
    if configured is not None and configured[0] in SHAPERS:
        now = candidate(band, *configured, acceleration, budget)
    return Choice(found, now, *_recommended(found, acceleration, budget, leaves))


def _recommended(
    found: tuple[Candidate, ...], acceleration: float | None, budget: float, leaves: float
) -> tuple[Candidate, str]:
    """Of those that leave so little and keep the budget the one that allows most; else the best compromise."""
    quiet = [one for one in found if one.remains <= leaves]
    fitting = [one for one in quiet if acceleration is None or one.ceiling >= acceleration]
    if fitting:
        best = max(fitting, key=lambda one: one.ceiling)
        return best, (
            f"of the shapers that leave at most {leaves:.0%} it rounds least, and allows {best.ceiling:.0f} mm/s²"
        )
    if quiet:
        best = max(quiet, key=lambda one: one.ceiling)
        return best, (
            f"it leaves at most {leaves:.0%}, but only up to {best.ceiling:.0f} mm/s² a reversal stays within "
            f"{budget:g} mm: lower the acceleration"
        )
    best = min(found, key=lambda one: one.remains)
    return (
        best,
        f"none leaves at most {leaves:.0%}; it leaves least, {best.remains:.0%}: look for what rings so widely",
    )
