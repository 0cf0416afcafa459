"""Power spectral density by Welch's method, and the modes that it shows.

Method: P. D. Welch, IEEE Trans. Audio and Electroacoustics 15 (1967) 70-73 (from memory), with Hann windows,
as scipy.signal.welch computes it. The windows overlap by three quarters: then their squares add up to the
same at every moment, so that a sweep, which meets each frequency only once, counts evenly.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from numpy import ndarray

LOWEST, HIGHEST = 5.0, 300.0
"""Hz. Where a printer's frame and carriage ring (common practice, no source)."""
SEGMENTS = 8
"""Averages that a density needs at the least, so that its noise stays below a third."""


class Spectrum(NamedTuple):
    """``density`` in (mm/s²)²/Hz at ``frequencies`` in Hz, evenly spaced."""

    frequencies: ndarray
    density: ndarray
    averages: int

    @property
    def step(self) -> float:
        """Between two frequencies, in Hz."""
        return float(self.frequencies[1] - self.frequencies[0])


def spectrum_of(signal: ndarray, rate: float, resolution: float = 0.5) -> Spectrum:
    """The density of a signal in mm/s² sampled at ``rate`` Hz, with steps of about ``resolution`` Hz.

    The steps get wider where the signal is too short for `SEGMENTS` averages.
    """
    from scipy.signal import welch

    length = min(int(rate / resolution), 2 * len(signal) // (SEGMENTS + 1))
    length = max(length, min(64, len(signal)))
    frequencies, density = welch(
        signal, rate, window="hann", nperseg=length, noverlap=3 * length // 4, detrend="constant"
    )
    return Spectrum(frequencies, density, max(1, 2 * len(signal) // length - 1))


def in_band(spectrum: Spectrum, low: float = LOWEST, high: float = HIGHEST) -> Spectrum:
    """The part between two frequencies."""
    inside = (spectrum.frequencies >= low) & (spectrum.frequencies <= high)
    return Spectrum(spectrum.frequencies[inside], spectrum.density[inside], spectrum.averages)
