"""Which second-order responses a spectrum holds: where they are fitted, and whether a peak is one or two."""

from __future__ import annotations

from collections.abc import Sequence

from cfgaudit.evidence.vibration.mode_fit import Fit, fit_responses, fitted_density
from cfgaudit.evidence.vibration.mode_response import SHAPES, Response, Way, power
from cfgaudit.evidence.vibration.peaks import PEAKS_AT_MOST, SMOOTHED_OVER, smoothed
from cfgaudit.evidence.vibration.spectrum import Spectrum

REACH = (0.5, 1.7)
"""The part around a peak, in shares of its frequency, in which responses are fitted."""
POINTS_AT_LEAST = 12
"""Points that a fit needs."""
OFF = 4.0
"""How many times higher or lower than a fit a density is where the fit has no say: beyond the end of what was
excited, or where something else rings (common practice, no source)."""
ROUNDS = 3
CLOSE = 0.06
"""By which share of its frequency the two modes lie off a peak that may be two, at first."""
BETTER = 0.03
"""By how much two modes must fit better than one: a deviation by a quarter, on the average (common practice,
no source)."""
LIKELIER = 20.0
"""And by how much the logarithm of their likelihood must be higher, so that no chance makes them."""
WEAKEST = 0.05
"""The share of the energy that each of them must have at the least."""


def energy_shares(spectrum: Spectrum, fit: Fit) -> list[float]:
    """The share of the energy that each mode has."""
    energies = [float(power(spectrum.frequencies, one, fit.way.shape).sum()) for one in fit.responses]
    whole = sum(energies) or 1.0
    return [one / whole for one in energies]


def split_strongest(spectrum: Spectrum, fit: Fit, seconds: float) -> Fit:
    """A fit in which the strongest mode is two that lie close together, if that is clearly better."""
    near = near_peaks(spectrum, [one.frequency for one in fit.responses])
    if len(fit.responses) >= PEAKS_AT_MOST or _to_gain(near, fit) < BETTER:
        return fit
    first = max(zip(energy_shares(spectrum, fit), fit.responses, strict=True))[1]
    others = [one.frequency for one in fit.responses if one is not first]
    off = max(CLOSE, first.damping)
    two = (first.frequency * (1.0 - off), first.frequency * (1.0 + off))
    tried = fit_modes(spectrum, [*two, *others])
    gain = _misfit(near, fit) - _misfit(near, tried)
    independent = seconds * len(near.frequencies) * near.step
    clearly = gain > max(BETTER, LIKELIER / independent) and min(energy_shares(spectrum, tried)) > WEAKEST
    low, high = sorted(one.frequency for one in tried.responses[:2])
    between = low < first.frequency * (1.0 + CLOSE) and high > first.frequency * (1.0 - CLOSE)
    return tried if clearly and between else fit


def weigh_shapes(spectrum: Spectrum, fit: Fit, seconds: float) -> Fit:
    """The fit with the means of what every shape finds, each weighed by how likely it is.

    Well damped modes look much the same, whatever the signal follows (H. Akaike's weights, IEEE Trans.
    Automatic Control 19 (1974) 716-723, from memory).
    """
    import numpy

    peaks = [one.frequency for one in fit.responses]
    part = _explained(near_peaks(spectrum, peaks), fit)
    if len(part.frequencies) < POINTS_AT_LEAST:
        return fit
    ways = [Way(shape, fit.way.signs) for shape in SHAPES]
    fits = [fit_responses(part.frequencies, part.density, peaks, [way]) for way in ways]
    misfits = numpy.array([one.misfit for one in fits])
    weights = numpy.exp((misfits.min() - misfits) * seconds * len(part.frequencies) * part.step)
    means = numpy.average([one.responses for one in fits], axis=0, weights=weights)
    return fit._replace(responses=tuple(Response(*map(float, one)) for one in means))


def _to_gain(spectrum: Spectrum, fit: Fit) -> float:
    """By how much the best of all fits, one that follows the smoothed density, would have a lower misfit."""
    import numpy

    ratio = smoothed(spectrum) / fitted_density(spectrum.frequencies, fit)
    return float((ratio - 1.0 - numpy.log(ratio)).mean())


def _misfit(spectrum: Spectrum, fit: Fit) -> float:
    import numpy

    model = fitted_density(spectrum.frequencies, fit)
    return float((spectrum.density / model + numpy.log(model)).mean())


def fit_modes(spectrum: Spectrum, peaks: Sequence[float], ways: Sequence[Way] = ()) -> Fit:
    """Responses near peaks, fitted where they have a say."""
    part = near_peaks(spectrum, peaks)
    fit = fit_responses(part.frequencies, part.density, peaks, ways)
    for _ in range(ROUNDS):
        kept = _explained(part, fit)
        if len(kept.frequencies) in (len(part.frequencies), *range(POINTS_AT_LEAST)):
            break
        part = kept
        fit = fit_responses(part.frequencies, part.density, peaks, ways)
    return fit


def near_peaks(spectrum: Spectrum, peaks: Sequence[float]) -> Spectrum:
    """The part of a spectrum around peaks: farther away other things ring."""
    import numpy

    f = spectrum.frequencies
    near = numpy.zeros(len(f), dtype=bool)
    for peak in peaks:
        near |= (f >= REACH[0] * peak) & (f <= REACH[1] * peak)
    return Spectrum(f[near], spectrum.density[near], spectrum.averages)


def _explained(spectrum: Spectrum, fit: Fit) -> Spectrum:
    """The part from the lowest to the highest mode, and on both sides as far as the fit has a say."""
    import numpy

    f = spectrum.frequencies
    ratio = smoothed(spectrum) / fitted_density(f, fit)
    off = (ratio > OFF) | (ratio < 1.0 / OFF)
    low = min(one.frequency * (1.0 - one.damping) for one in fit.responses)
    high = max(one.frequency * (1.0 + one.damping) for one in fit.responses)
    start = f[off & (f < low)].max(initial=0.0)
    end = f[off & (f > high)].min(initial=numpy.inf)
    kept = (f > start + SMOOTHED_OVER) & (f < end - SMOOTHED_OVER)
    return Spectrum(f[kept], spectrum.density[kept], spectrum.averages)
