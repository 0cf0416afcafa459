"""Natural frequencies and damping ratios from a recording.

Both ways are told: a fit of second-order responses (`mode_fit`), and the half-power bandwidth (`peaks`).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, NamedTuple

from cfgaudit.evidence.mode_fit import Fit, fit_responses, fitted_density
from cfgaudit.evidence.mode_response import Way, power
from cfgaudit.evidence.peaks import PEAKS_AT_MOST, find_peaks, half_power, is_line, smoothed
from cfgaudit.evidence.spectrum import HIGHEST, LOWEST, Spectrum, in_band, spectrum_of

if TYPE_CHECKING:
    from numpy import ndarray

REACH = (0.5, 1.7)
"""The part around a peak, in shares of its frequency, in which responses are fitted."""
POINTS_AT_LEAST = 12
"""Points that a fit needs."""
OFF = 4.0
"""How many times higher or lower than a fit a density is where the fit has no say: beyond the end of what was
excited, or where something else rings (common practice, no source)."""
ROUNDS = 3
FINEST = 0.1
"""Hz. The finest step that is asked of a spectrum."""
STEPS_IN_BANDWIDTH = 6.0
"""Steps of the spectrum that the half-power bandwidth should hold, so that windows do not widen it."""
TONE, DULL = 0.004, 0.3
"""Damping ratios below which a fan or a motor hums, and above which nothing rings (common practice, no
source)."""
TELLS_TONES = 0.15
"""Hz. The widest step at which the narrowest resonance is wider than a tone."""
CLOSE = 0.06
"""By which share of its frequency the two modes lie off a peak that may be two, at first."""
BETTER = 0.03
"""By how much two modes must fit better than one: a deviation by a quarter, on the average (common practice,
no source)."""
LIKELIER = 20.0
"""And by how much the logarithm of their likelihood must be higher, so that no chance makes them."""
WEAKEST = 0.05
"""The share of the energy that each of them must have at the least."""


class Mode(NamedTuple):
    """One resonance. Frequencies in Hz, damping ratios without unit."""

    frequency: float
    """Natural, of the fit."""
    damping: float
    """Of the fit."""
    peak: float
    """Where the density is highest."""
    half_power: float | None
    """The damping by the half-power bandwidth; None where the density does not fall to half on both sides."""
    share: float
    """Of the energy of all modes, 0 to 1."""

    @property
    def disagreement(self) -> float | None:
        """By how much the half-power damping differs from the fit's, as a share of it."""
        return None if self.half_power is None else self.half_power / self.damping - 1.0


def find_modes(signal: ndarray, rate: float) -> tuple[Mode, ...]:
    """The resonances in a signal in mm/s² sampled at ``rate`` Hz, the strongest first.

    None where nothing stands out.
    """
    spectrum = _spectrum(signal, rate)
    peaks = _without_tones(signal, rate, spectrum, find_peaks(spectrum))
    if not peaks or len(_near(spectrum, peaks).frequencies) < POINTS_AT_LEAST:
        return ()
    seconds = len(signal) / rate
    fit = _split(spectrum, _fitted(spectrum, peaks), seconds)
    for _ in range(ROUNDS):
        narrowest = min(2.0 * one.damping * one.frequency for one in fit.responses)
        step = max(FINEST, narrowest / STEPS_IN_BANDWIDTH)
        if step > 0.9 * spectrum.step:
            break
        spectrum = _spectrum(signal, rate, step)
        fit = _fitted(spectrum, [one.frequency for one in fit.responses], [fit.way])
    return _modes(spectrum, fit)


def _without_tones(signal: ndarray, rate: float, spectrum: Spectrum, peaks: list[float]) -> list[float]:
    """The peaks that are no steady tones; a short recording does not tell them apart."""
    narrow = [peak for peak in peaks if is_line(spectrum, peak)]
    if not narrow:
        return peaks
    fine = _spectrum(signal, rate, FINEST)
    return [
        peak for peak in peaks if peak not in narrow or fine.step > TELLS_TONES or not is_line(fine, peak)
    ]


def _spectrum(signal: ndarray, rate: float, step: float = 0.5) -> Spectrum:
    return in_band(spectrum_of(signal, rate, step), LOWEST, min(HIGHEST, 0.4 * rate))


def _modes(spectrum: Spectrum, fit: Fit) -> tuple[Mode, ...]:
    """What rings: neither steady tones, nor what is so damped that it hardly swings."""
    found = [
        Mode(one.frequency, one.damping, *half_power(spectrum, one.frequency, one.damping), share)
        for one, share in zip(fit.responses, _shares(spectrum, fit), strict=True)
        if TONE < one.damping < DULL
    ]
    return tuple(sorted(found, key=lambda one: one.share, reverse=True))


def _shares(spectrum: Spectrum, fit: Fit) -> list[float]:
    """The share of the energy that each mode has."""
    energies = [float(power(spectrum.frequencies, one, fit.way.shape).sum()) for one in fit.responses]
    whole = sum(energies) or 1.0
    return [one / whole for one in energies]


def _split(spectrum: Spectrum, fit: Fit, seconds: float) -> Fit:
    """A fit in which the strongest mode is two that lie close together, if that is clearly better."""
    near = _near(spectrum, [one.frequency for one in fit.responses])
    if len(fit.responses) >= PEAKS_AT_MOST or _to_gain(near, fit) < BETTER:
        return fit
    first = max(zip(_shares(spectrum, fit), fit.responses, strict=True))[1]
    others = [one.frequency for one in fit.responses if one is not first]
    off = max(CLOSE, first.damping)
    two = (first.frequency * (1.0 - off), first.frequency * (1.0 + off))
    tried = _fitted(spectrum, [*two, *others])
    gain = _misfit(near, fit) - _misfit(near, tried)
    independent = seconds * len(near.frequencies) * near.step
    clearly = gain > max(BETTER, LIKELIER / independent) and min(_shares(spectrum, tried)) > WEAKEST
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


def _fitted(spectrum: Spectrum, peaks: Sequence[float], ways: Iterable[Way] = ()) -> Fit:
    """Responses near peaks, fitted where they have a say."""
    part = _near(spectrum, peaks)
    fit = fit_responses(part.frequencies, part.density, peaks, ways)
    for _ in range(ROUNDS):
        kept = _explained(part, fit)
        if len(kept.frequencies) in (len(part.frequencies), *range(POINTS_AT_LEAST)):
            break
        part = kept
        fit = fit_responses(part.frequencies, part.density, peaks, [fit.way])
    return fit


def _near(spectrum: Spectrum, peaks: Sequence[float]) -> Spectrum:
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
    kept = (f > start) & (f < end)
    return Spectrum(f[kept], spectrum.density[kept], spectrum.averages)
