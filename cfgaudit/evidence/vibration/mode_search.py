"""Which second-order responses a spectrum holds: where they are fitted, and whether a peak is one or two."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from cfgaudit.evidence.vibration.mode_fit import Fit, fit_responses, fitted_density
from cfgaudit.evidence.vibration.mode_response import Signs, power
from cfgaudit.evidence.vibration.peaks import PEAKS_AT_MOST, SMOOTHED_OVER, above, smoothed
from cfgaudit.evidence.vibration.spectrum import Spectrum

if TYPE_CHECKING:
    from numpy import ndarray

REACH = (0.5, 1.7)
"""The part around a peak, in shares of its frequency, in which responses are fitted."""
POINTS_AT_LEAST = 12
"""Points that a fit needs."""
TOP = 0.05
"""The share of a peak's height down to which it is fitted at first."""
OFF = 4.0
"""How many times higher or lower than a fit a density is where the fit has no say: beyond the end of what was
excited, or where something else rings (common practice, no source)."""
UNSHAKEN = 16.0
"""And how many times lower where nothing was shaken: two modes fitted as one are never that far below it."""
ROUNDS = 3
CLOSE = 0.06
"""By which share of its frequency the two modes lie off a peak that may be two, at first."""
BETTER = 0.03
"""By how much two modes must fit better than one: a deviation by a quarter, on the average (common practice,
no source)."""
LIKELIER = 30.0
"""And by how much the logarithm of their likelihood must be higher, so that no chance makes them."""
WEAKEST = 0.05
"""The share of the energy that each of them must have at the least."""


def energy_shares(spectrum: Spectrum, fit: Fit) -> list[float]:
    """The share of the energy that each mode has."""
    energies = [float(power(spectrum.frequencies, one, fit.lean).sum()) for one in fit.responses]
    whole = sum(energies) or 1.0
    return [one / whole for one in energies]


def split_strongest(spectrum: Spectrum, fit: Fit, seconds: float) -> Fit:
    """A fit in which the strongest mode is two that lie close together, if that is clearly better."""
    near = _shaken(near_peaks(spectrum, [one.frequency for one in fit.responses]), fit)
    if len(near.frequencies) < POINTS_AT_LEAST:
        return fit
    if len(fit.responses) >= PEAKS_AT_MOST or _to_gain(near, fit) < BETTER:
        return fit
    first = max(zip(energy_shares(spectrum, fit), fit.responses, strict=True))[1]
    others = [one.frequency for one in fit.responses if one is not first]
    off = max(CLOSE, first.damping)
    two = (first.frequency * (1.0 - off), first.frequency * (1.0 + off))
    tried = fit_modes(near, [*two, *others])
    gain = _misfit(near, fit) - _misfit(near, tried)
    independent = seconds * len(near.frequencies) * near.step
    clearly = gain > max(BETTER, LIKELIER / independent) and min(energy_shares(spectrum, tried)) > WEAKEST
    low, high = sorted(one.frequency for one in tried.responses[:2])
    between = low < first.frequency * (1.0 + CLOSE) and high > first.frequency * (1.0 - CLOSE)
    return tried if clearly and between else fit


def _to_gain(spectrum: Spectrum, fit: Fit) -> float:
    """By how much the best of all fits, one that follows the smoothed density, would have a lower misfit."""
    import numpy

    ratio = smoothed(spectrum) / fitted_density(spectrum.frequencies, fit)
    return float((ratio - 1.0 - numpy.log(ratio)).mean())


def _misfit(spectrum: Spectrum, fit: Fit) -> float:
    import numpy

    model = fitted_density(spectrum.frequencies, fit)
    return float((spectrum.density / model + numpy.log(model)).mean())


def fit_modes(spectrum: Spectrum, peaks: Sequence[float], ways: Sequence[Signs] = ()) -> Fit:
    """Responses near peaks: fitted at first to the peaks alone, then as far around them as the fit has a say.

    From the inside, for a fit that began with what lies beyond the end of a sweep would bend to it.
    """
    near = near_peaks(spectrum, peaks)
    part = _high_ground(near, peaks)
    fit = fit_responses(part.frequencies, part.density, peaks, ways)
    for _ in range(ROUNDS):
        kept = _explained(near, fit)
        if len(kept.frequencies) < POINTS_AT_LEAST or _same(kept, part):
            break
        part = kept
        fit = fit_responses(part.frequencies, part.density, peaks, ways)
    return fit


def _same(one: Spectrum, other: Spectrum) -> bool:
    import numpy

    return numpy.array_equal(one.frequencies, other.frequencies)


def near_peaks(spectrum: Spectrum, peaks: Sequence[float]) -> Spectrum:
    """The part of a spectrum around peaks: farther away other things ring."""
    import numpy

    f = spectrum.frequencies
    near = numpy.zeros(len(f), dtype=bool)
    for peak in peaks:
        near |= (f >= REACH[0] * peak) & (f <= REACH[1] * peak)
    return Spectrum(f[near], spectrum.density[near], spectrum.averages)


def _high_ground(near: Spectrum, peaks: Sequence[float]) -> Spectrum:
    """The part in which the density stays above a share of a peak beside it; all if that is too little."""
    import numpy

    f, smooth = near.frequencies, smoothed(near)
    kept = numpy.zeros(len(f), dtype=bool)
    for peak in peaks:
        at = int(numpy.abs(f - peak).argmin())
        kept[slice(*above(smooth, at, TOP))] = True
    if kept.sum() < POINTS_AT_LEAST:
        return near
    return Spectrum(f[kept], near.density[kept], near.averages)


def _explained(spectrum: Spectrum, fit: Fit) -> Spectrum:
    """The part from the lowest to the highest mode, and on both sides as far as the fit has a say."""
    ratio = smoothed(spectrum) / fitted_density(spectrum.frequencies, fit)
    return _up_to(spectrum, fit, (ratio > OFF) | (ratio < 1.0 / OFF))


def _shaken(spectrum: Spectrum, fit: Fit) -> Spectrum:
    """The part that was shaken: beyond the end of a sweep hardly anything is left of what a fit says."""
    return _up_to(spectrum, fit, UNSHAKEN * smoothed(spectrum) < fitted_density(spectrum.frequencies, fit))


def _up_to(spectrum: Spectrum, fit: Fit, off: ndarray) -> Spectrum:
    """The part from the lowest to the highest mode, and on both sides up to where the fit is off."""
    import numpy

    f = spectrum.frequencies
    low = min(one.frequency * (1.0 - one.damping) for one in fit.responses)
    high = max(one.frequency * (1.0 + one.damping) for one in fit.responses)
    start = f[off & (f < low)].max(initial=0.0)
    end = f[off & (f > high)].min(initial=numpy.inf)
    kept = (f > start + SMOOTHED_OVER) & (f < end - SMOOTHED_OVER)
    return Spectrum(f[kept], spectrum.density[kept], spectrum.averages)
