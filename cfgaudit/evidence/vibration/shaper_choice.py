"""Which input shaper suits a measured spectrum: every shaper of the family at its best frequency."""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum
from functools import cache
from typing import TYPE_CHECKING, NamedTuple

from cfgaudit.evidence.recordings.band import HIGHEST, LOWEST
from cfgaudit.evidence.vibration.spectrum import Spectrum
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
FREQUENCY_STEP = 0.01
"""The step, as a share, between the frequencies that are tried."""
BELOW = 0.75
"""The share of the lowest frequency that rings from which they are."""
AS_GOOD = 0.005
"""By how much more vibration may remain than at the very best, if less is rounded for it."""
HALVINGS = 7
"""How often that step is halved to find where it is just as much: repeated runs differ by less than it."""
MOVES = 0.10
"""The share by which what an axis rings with moves over the bed and with its load (common practice, no
source)."""
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


class Verdict(StrEnum):
    """How far the recommended shaper is what was wanted."""

    FITS = "fits"
    """It leaves and rounds little enough."""
    ROUNDS = "rounds"
    """It leaves little enough, but rounds too much at the configured acceleration, as all such do."""
    LEAVES = "leaves"
    """It leaves too much, as all do."""


class Choice(NamedTuple):
    """All shapers at their best frequencies, the configured one as it is, and the one to take."""

    candidates: tuple[Candidate, ...]
    configured: Candidate | None
    recommended: Candidate
    verdict: Verdict

    @property
    def same_kind(self) -> Candidate | None:
        """A shaper of the configured kind at its best frequency; None where none is configured."""
        if self.configured is None:
            return None
        return next(one for one in self.candidates if one.kind == self.configured.kind)


class Wanted(NamedTuple):
    """What the builder asks of a shaper."""

    acceleration: float | None = None
    """mm/s², as configured; None where none is."""
    budget: float = BUDGET
    """mm by which a full reversal may be rounded."""
    leaves: float = LEAVES
    """The share of the vibration that may remain."""


def tops(spectrum: Spectrum, ringing: Sequence[tuple[float, float]]) -> Spectrum:
    """A spectrum of which only what rings is left: of each mode (Hz, damping ratio) its half-power band.

    What stands beside that is the forced response of what rings there: left alone, it rings at its own
    frequency. And a mode on the slope of another one has no peak of its own, but rings none the less.
    """
    import numpy

    f = spectrum.frequencies
    kept = numpy.zeros(len(f), dtype=bool)
    for frequency, damping in ringing:
        kept |= abs(f - frequency) <= max(damping * frequency, spectrum.step)
    return Spectrum(f, numpy.where(kept, spectrum.density, 0.0), spectrum.averages)


def remaining(spectrum: Spectrum, kind: str, frequency: float, damping: float) -> float:
    """The share of the vibration in a spectrum that a shaper leaves: √(Σ S(f) V(f)² ÷ Σ S(f)).

    V is the residual vibration after the last impulse (physics.shaping); S is best the `tops` of a spectrum.
    """
    import numpy

    left = numpy.interp(spectrum.frequencies / frequency, *_curve(kind, round(damping, 3)))
    return float(numpy.sqrt((spectrum.density * left**2).sum() / spectrum.density.sum()))


@cache
def _curve(kind: str, damping: float) -> tuple[ndarray, ndarray]:
    """The residual vibration over the frequency ratio: a shaper's impulses scale with its frequency."""
    import numpy

    shaper = impulses(kind, 1.0, damping)
    ratios = numpy.linspace(0.0, RATIO_AT_MOST, RATIOS)
    return ratios, numpy.array([residual_vibration(shaper, float(ratio), damping) for ratio in ratios])


def candidate(spectrum: Spectrum, kind: str, frequency: float, damping: float, wanted: Wanted) -> Candidate:
    """One shaper held against the tops of a spectrum."""
    shaper = impulses(kind, frequency, damping)
    moment = spread(shaper)
    return Candidate(
        kind,
        frequency,
        damping,
        remaining(spectrum, kind, frequency, damping),
        None if wanted.acceleration is None else rounding(wanted.acceleration, moment),
        acceleration_ceiling(moment, wanted.budget),
        tolerated_band(shaper, frequency, damping),
    )


def best_frequency(spectrum: Spectrum, kind: str, damping: float) -> float:
    """The highest frequency at which a shaper leaves hardly more than at its best: the higher, the less it
    rounds.

    Far below what rings it would damp by what it leaves of three or five times its frequency: three times
    as slow, and in bands so narrow that nothing real stays inside them.
    """
    tried = []
    rings = spectrum.frequencies[spectrum.density > 0]
    frequency = max(LOWEST, BELOW * float(rings[0]))
    while frequency <= HIGHEST:
        tried.append((remaining(spectrum, kind, frequency, damping), frequency))
        frequency *= 1.0 + FREQUENCY_STEP
    limit = min(left for left, _ in tried) + AS_GOOD
    low = max(one for left, one in tried if left <= limit)
    high = low * (1.0 + FREQUENCY_STEP)
    for _ in range(HALVINGS if high <= HIGHEST else 0):
        middle = (low + high) / 2.0
        fits = remaining(spectrum, kind, middle, damping) <= limit
        low, high = (middle, high) if fits else (low, middle)
    return low


def choose_shaper(
    spectrum: Spectrum,
    ringing: Sequence[tuple[float, float]],
    configured: tuple[str, float, float] | None,
    wanted: Wanted,
) -> Choice:
    """Every shaper at its best frequency for a measured spectrum, and which one to take.

    ``ringing`` are the modes in Hz and damping ratio, the strongest first, ``configured`` kind, frequency in
    Hz and damping as they are set now.
    """
    peaks, (_, damping) = tops(spectrum, ringing), ringing[0]
    found = tuple(
        candidate(peaks, kind, best_frequency(peaks, kind, damping), damping, wanted) for kind in SHAPERS
    )
    now = None
    if configured is not None and configured[0] in SHAPERS:
        now = candidate(peaks, *configured, wanted)
    return Choice(found, now, *_recommended(found, wanted))


def meets(one: Candidate, wanted: Wanted) -> bool:
    """Whether a shaper leaves and rounds as little as is wanted."""
    slow_enough = wanted.acceleration is None or wanted.acceleration <= one.ceiling
    return one.remains <= wanted.leaves and slow_enough


def bears(one: Candidate, ringing: Sequence[float]) -> bool:
    """Whether a shaper damps what rings at these frequencies in Hz, wherever within `MOVES` they move."""
    if one.band is None:
        return False
    low, high = one.band
    return all(low <= (1.0 - MOVES) * at and (1.0 + MOVES) * at <= high for at in ringing)


def _recommended(found: Sequence[Candidate], wanted: Wanted) -> tuple[Candidate, Verdict]:
    """Of those that leave little enough the one that rounds least; else the one that leaves least."""
    quiet = [one for one in found if one.remains <= wanted.leaves]
    if not quiet:
        return min(found, key=lambda one: one.remains), Verdict.LEAVES
    best = max(quiet, key=lambda one: one.ceiling)
    return best, Verdict.FITS if meets(best, wanted) else Verdict.ROUNDS
