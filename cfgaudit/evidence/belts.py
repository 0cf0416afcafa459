"""Two belts against one another, from their spectra."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from cfgaudit.evidence.spectrum import Spectrum, in_band

if TYPE_CHECKING:
    from numpy import ndarray

ENERGY = 0.95
"""The share of both spectra's energy that lies in the band in which they are compared."""


class Belts(NamedTuple):
    """What two spectra say of two belts, A and B."""

    likeness: float
    """0 to 1: the correlation of the densities, each divided by its sum; 1 for identical ones."""
    peaks: tuple[float, float]
    """Hz, of A and B."""
    band: tuple[float, float]
    """Hz, in which they were compared."""

    @property
    def tension_ratio(self) -> float:
        """The tension of A ÷ that of B: a string's frequency is √(T ÷ µ) ÷ 2L, so tension goes with its square."""
        return (self.peaks[0] / self.peaks[1]) ** 2


def compare_belts(left: Spectrum, right: Spectrum) -> Belts:
    """The likeness of two spectra over the band that carries 95 % of the energy of either, and their peaks."""
    import numpy

    a, b = _on_one_grid(in_band(left), in_band(right))
    f = a.frequencies
    ends = [_carrying(one, ENERGY) for one in (a, b)]
    low, high = min(low for low, _ in ends), max(high for _, high in ends)
    inside = (f >= low) & (f <= high)
    densities = [one.density[inside] / one.density[inside].sum() for one in (a, b)]
    likeness = float(numpy.corrcoef(*densities)[0, 1])
    return Belts(max(0.0, likeness), (_peak(a), _peak(b)), (low, high))


def _on_one_grid(left: Spectrum, right: Spectrum) -> tuple[Spectrum, Spectrum]:
    """Both at the frequencies of the coarser one."""
    import numpy

    f = left.frequencies if left.step >= right.step else right.frequencies
    f = f[f <= min(left.frequencies[-1], right.frequencies[-1])]
    both = [Spectrum(f, numpy.interp(f, one.frequencies, one.density), one.averages) for one in (left, right)]
    return both[0], both[1]


def _carrying(spectrum: Spectrum, share: float) -> tuple[float, float]:
    """The frequencies below and above which an equal rest of the energy lies."""
    import numpy

    whole: ndarray = numpy.cumsum(spectrum.density)
    whole = whole / whole[-1]
    rest = (1.0 - share) / 2.0
    low, high = numpy.searchsorted(whole, [rest, 1.0 - rest])
    return float(spectrum.frequencies[low]), float(spectrum.frequencies[min(high, len(whole) - 1)])


def _peak(spectrum: Spectrum) -> float:
    """Where the density is highest, between samples by a parabola through the three highest."""
    top = int(spectrum.density.argmax())
    if not 0 < top < len(spectrum.density) - 1:
        return float(spectrum.frequencies[top])
    left, middle, right = (float(one) for one in spectrum.density[top - 1 : top + 2])
    bend = left - 2.0 * middle + right
    shift = 0.5 * (left - right) / bend if bend else 0.0
    return float(spectrum.frequencies[top]) + shift * spectrum.step
