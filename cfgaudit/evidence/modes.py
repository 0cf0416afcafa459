"""Natural frequencies and damping ratios from a spectrum.

Two ways, and both are told: the half-power bandwidth, ζ = (f₂ − f₁) ÷ 2 f₀ where the density is half of its
peak (S. S. Rao, Mechanical Vibrations, from memory), and a fit of second-order responses (`mode_fit`).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from cfgaudit.evidence.mode_fit import fit_responses, power
from cfgaudit.evidence.spectrum import HIGHEST, LOWEST, Spectrum, in_band, spectrum_of

if TYPE_CHECKING:
    from numpy import ndarray

PROMINENCE = 2.5
"""How many times higher than the valleys beside it a peak must be (common practice, no source)."""
FAINTEST = 50.0
"""How many times lower than the highest peak another one may be (common practice, no source)."""
REACH = (0.5, 1.7)
"""The part around a peak, in shares of its frequency, in which responses are fitted."""
MODES_AT_MOST = 3
FINEST = 0.1
"""Hz. The finest step that is asked of a spectrum."""
STEPS_IN_BANDWIDTH = 6.0
"""Steps of the spectrum that the half-power bandwidth should hold, so that windows do not widen it."""


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
    """The resonances in a signal in mm/s² sampled at ``rate`` Hz, the strongest first; none where nothing stands out."""
    spectrum = in_band(spectrum_of(signal, rate), LOWEST, min(HIGHEST, 0.4 * rate))
    modes = _fitted(spectrum, find_peaks(spectrum))
    if not modes:
        return ()
    narrowest = min(2.0 * one.damping * one.frequency for one in modes)
    step = max(FINEST, narrowest / STEPS_IN_BANDWIDTH)
    if step < 0.9 * spectrum.step:
        finer = in_band(spectrum_of(signal, rate, step), LOWEST, min(HIGHEST, 0.4 * rate))
        modes = _fitted(finer, [one.frequency for one in modes])
    return modes


def find_peaks(spectrum: Spectrum) -> list[float]:
    """The frequencies of the peaks that stand out, the highest first."""
    import numpy
    from scipy.signal import find_peaks as peaks_of

    smooth = _smoothed(spectrum)
    places, _ = peaks_of(numpy.log(smooth), prominence=numpy.log(PROMINENCE))
    tall = sorted(map(int, places), key=lambda at: float(smooth[at]), reverse=True)
    return [
        float(spectrum.frequencies[at])
        for at in tall[:MODES_AT_MOST]
        if smooth[at] > smooth[tall[0]] / FAINTEST
    ]


def _smoothed(spectrum: Spectrum) -> ndarray:
    """The density averaged over about 2 Hz, so that noise makes no peaks."""
    import numpy

    width = max(1, int(2.0 / spectrum.step)) | 1
    window = numpy.hanning(width + 2)[1:-1]
    padded = numpy.pad(spectrum.density, width // 2, mode="edge")
    return numpy.convolve(padded, window / window.sum(), "valid")


def _fitted(spectrum: Spectrum, peaks: Sequence[float]) -> tuple[Mode, ...]:
    if not peaks:
        return ()
    near = _near(spectrum, peaks)
    fit = fit_responses(near.frequencies, near.density, peaks)
    energies = [float(power(spectrum.frequencies, one, fit.shape).sum()) for one in fit.responses]
    whole = sum(energies) or 1.0
    found = [
        Mode(one.frequency, one.damping, *_half_power(spectrum, one.frequency, one.damping), energy / whole)
        for one, energy in zip(fit.responses, energies, strict=True)
    ]
    return tuple(sorted(found, key=lambda one: one.share, reverse=True))


def _near(spectrum: Spectrum, peaks: Sequence[float]) -> Spectrum:
    """The part of a spectrum around peaks: farther away other things ring, and nobody shook the machine there."""
    import numpy

    f = spectrum.frequencies
    near = numpy.zeros(len(f), dtype=bool)
    for peak in peaks:
        near |= (f >= REACH[0] * peak) & (f <= REACH[1] * peak)
    return Spectrum(f[near], spectrum.density[near], spectrum.averages)


def _half_power(spectrum: Spectrum, frequency: float, damping: float) -> tuple[float, float | None]:
    """Where the density is highest near a mode, and the damping by the width at half of that."""
    import numpy

    f, density = spectrum.frequencies, spectrum.density
    reach = max(3 * spectrum.step, damping * frequency)
    near = numpy.abs(f - frequency) <= reach
    if not near.any():
        return frequency, None
    top = int(numpy.where(near, density, 0.0).argmax())
    half = float(density[top]) / 2.0
    below, above = _crossing(f, density, top, half, -1), _crossing(f, density, top, half, 1)
    if below is None or above is None:
        return float(f[top]), None
    return float(f[top]), (above - below) / (2.0 * float(f[top]))


def _crossing(f: ndarray, density: ndarray, top: int, level: float, way: int) -> float | None:
    """Where the density first falls below a level, seen from the peak; between samples by a straight line."""
    at = top
    while 0 <= at + way < len(f):
        here, there = float(density[at]), float(density[at + way])
        if there <= level:
            return float(f[at]) + (here - level) / (here - there) * (float(f[at + way]) - float(f[at]))
        at += way
    return None
