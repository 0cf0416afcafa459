"""Power spectral density by Welch's method.

Method: P. D. Welch, IEEE Trans. Audio and Electroacoustics 15 (1967) 70-73 (from memory), with Hann windows
that overlap by three quarters. Their squares then add up to the same at every moment, and the signal is
continued by zeros so that this holds at its ends too. The density of any signal is therefore that of the
whole, smoothed over the width of a window: of a sweep, which meets each frequency only once, as well as of
noise. And its sum times its step is the mean square of the signal, to the last digit (Parseval).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from cfgaudit.evidence.recordings.band import HIGHEST, LOWEST

if TYPE_CHECKING:
    from numpy import ndarray

SEGMENTS = 8
"""Averages that a density needs at the least, so that its noise stays below a third."""
OVERLAP = 4
"""Windows that hold each sample."""
SHORTEST = 16
"""Samples in a window at the least."""
SQUARES = OVERLAP * 3.0 / 8.0
"""What the squares of the windows over one sample add up to."""
AT_ONCE = 32
"""Windows that are transformed together, to keep memory small."""


class Spectrum(NamedTuple):
    """``density`` in (mm/s²)²/Hz at ``frequencies`` in Hz, evenly spaced."""

    frequencies: ndarray
    density: ndarray
    averages: int
    """How many independent windows were averaged, about."""

    @property
    def step(self) -> float:
        """Between two frequencies, in Hz."""
        return float(self.frequencies[1] - self.frequencies[0])


def spectrum_of(signal: ndarray, rate: float, resolution: float = 0.5) -> Spectrum:
    """The density of a signal in mm/s² sampled at ``rate`` Hz, with steps of about ``resolution`` Hz.

    The steps get wider where the signal is too short for `SEGMENTS` averages. Its mean is taken out.
    """
    import numpy

    length = min(round(rate / resolution), 2 * len(signal) // (SEGMENTS + 1))
    length = max(length // OVERLAP * OVERLAP, SHORTEST)
    hop = length // OVERLAP
    padded = numpy.zeros((len(signal) // hop + 2 * OVERLAP) * hop)
    padded[length - hop :][: len(signal)] = signal - signal.mean()
    windows = numpy.lib.stride_tricks.sliding_window_view(padded, length)[::hop]
    hann = 0.5 - 0.5 * numpy.cos(2.0 * numpy.pi * numpy.arange(length) / length)
    power = numpy.zeros(length // 2 + 1)
    for first in range(0, len(windows), AT_ONCE):
        power += (numpy.abs(numpy.fft.rfft(windows[first : first + AT_ONCE] * hann)) ** 2).sum(axis=0)
    power[1:-1] *= 2.0
    density = power / (rate * SQUARES * len(signal))
    return Spectrum(numpy.fft.rfftfreq(length, 1.0 / rate), density, max(1, 2 * len(signal) // length - 1))


def in_band(spectrum: Spectrum, low: float = LOWEST, high: float = HIGHEST) -> Spectrum:
    """The part between two frequencies."""
    inside = (spectrum.frequencies >= low) & (spectrum.frequencies <= high)
    return Spectrum(spectrum.frequencies[inside], spectrum.density[inside], spectrum.averages)
