"""Peaks of a spectrum: where it stands out, and how wide it is there."""

from __future__ import annotations

from math import exp
from typing import TYPE_CHECKING

from cfgaudit.evidence.vibration.spectrum import Spectrum

if TYPE_CHECKING:
    from numpy import ndarray

PROMINENCE = 2.5
"""How many times higher than the valleys beside it a peak must be (common practice, no source)."""
BEYOND_NOISE = 8.0
"""And how many standard deviations of the noise, so that no chance makes it."""
FAINTEST = 50.0
"""How many times lower than the highest peak another one may be (common practice, no source)."""
PEAKS_AT_MOST = 3
CLIFF = 0.1
"""The share of a peak's height to which a cliff falls at once."""
DEEP = 0.03
"""The share to which it falls soon after: not far below, for the instrument's noise may be there."""
STEEP, STEEPEST = 0.08, 4.0
"""The share of its frequency, and the Hz, within which it does. What rings in so narrow a peak has a damping
ratio below 0.03, and is as steep on both sides to a third (computed)."""
LOPSIDED = 3
"""How many times as far a cliff is from that on its other side."""
FALLS = 1.5
"""How many times as far off it is that low: what rings is 1.9 times as far off."""
BEHIND = 0.2
"""The share of its frequency over which nothing is behind it."""
HANN_WIDTH = 1.5
"""Points of a density that are not independent of one another, with Hann windows: their noise bandwidth."""
PART_OF_WIDTH = 1.0 / 6.0
"""The part of a mode's bandwidth over which its density is averaged: that widens it by two hundredths."""
LINE, LINE_AROUND = 0.8, 20.0
"""The share of the energy within so many steps of a peak that five points hold if it is a line."""
SMOOTHED_OVER = 2.0
"""Hz over which a density is averaged, so that noise makes no peaks."""


def find_peaks(spectrum: Spectrum) -> list[float]:
    """The frequencies in Hz of the peaks that stand out, the highest first; none where the shaking ends."""
    smooth = smoothed(spectrum)
    found = [at for at in _standing_out(spectrum, smooth) if not _ends(spectrum, smooth, at)]
    return [float(spectrum.frequencies[at]) for at in found[:PEAKS_AT_MOST]]


def find_ends(spectrum: Spectrum) -> list[float]:
    """The frequencies in Hz at which it stands out, and nothing was shaken beyond, the highest peak first.

    A sweep that ends short of a resonance makes a peak there that nothing rings with.
    """
    smooth = smoothed(spectrum)
    found = [at for at in _standing_out(spectrum, smooth) if _ends(spectrum, smooth, at)]
    return [float(spectrum.frequencies[at]) for at in found]


def _standing_out(spectrum: Spectrum, smooth: ndarray) -> list[int]:
    """Where the smoothed density has peaks that stand out, the highest first."""
    highest = float(smooth.max())
    if not highest > 0:
        return []
    needed = max(PROMINENCE, exp(BEYOND_NOISE * _noise(spectrum)))
    tall = [at for at in _summits(smooth) if smooth[at] > highest / FAINTEST]
    found = [at for at in tall if smooth[at] >= needed * _saddle(smooth, at)]
    return sorted(found, key=lambda at: float(smooth[at]), reverse=True)


def _ends(spectrum: Spectrum, smooth: ndarray, at: int) -> bool:
    """Whether a peak is a cliff: steep on one side, with nothing behind, and gentle on the other."""
    top = float(spectrum.frequencies[at])
    first, last = above(smooth, at, CLIFF)
    down, up = at - first + 1, last - at
    if min(down, up) * spectrum.step > min(STEEPEST, STEEP * top) or max(down, up) < LOPSIDED * min(down, up):
        return False
    side = smooth[at:] if up < down else smooth[at::-1]
    behind = side[: int(BEHIND * top / spectrum.step)][round(FALLS * min(down, up)) :]
    return bool(len(behind)) and bool((behind < DEEP * smooth[at]).all())


def smoothed(spectrum: Spectrum, over: float = SMOOTHED_OVER) -> ndarray:
    """The density averaged over about so many Hz."""
    import numpy

    width = _smoothing(spectrum, over)
    window = numpy.hanning(width + 2)[1:-1]
    padded = numpy.pad(spectrum.density, width // 2, mode="edge")
    return numpy.convolve(padded, window / window.sum(), "valid")


def half_power(spectrum: Spectrum, frequency: float, damping: float) -> tuple[float, float | None]:
    """Where the density is highest near a mode, in Hz, and the damping ratio by its width there.

    ζ = (f₂ − f₁) ÷ 2 f₀, f₁ and f₂ where the density is half of its peak (S. S. Rao, Mechanical Vibrations,
    from memory). None where it does not fall to half on both sides. ``frequency`` and ``damping`` say about
    where and how wide it is: over a part of that it is averaged, for noise has narrow peaks of its own.
    """
    import numpy

    f, density = spectrum.frequencies, smoothed(spectrum, PART_OF_WIDTH * 2.0 * damping * frequency)
    reach = max(3.0 * spectrum.step, damping * frequency)
    top = int(numpy.where(numpy.abs(f - frequency) <= reach, density, -1.0).argmax())
    half = float(density[top]) / 2.0
    below, above = _crossing(f, density, top, half, -1), _crossing(f, density, top, half, 1)
    if below is None or above is None:
        return float(f[top]), None
    return float(f[top]), (above - below) / (2.0 * float(f[top]))


def above(values: ndarray, at: int, share: float) -> tuple[int, int]:
    """From where to before where values stay at or above a share of the one at a place, all around it."""
    import numpy

    low = numpy.flatnonzero(values < values[at] * share)
    before, after = low[low < at], low[low > at]
    return int(before[-1]) + 1 if len(before) else 0, int(after[0]) if len(after) else len(values)


def is_line(spectrum: Spectrum, peak: float) -> bool:
    """Whether a peak is as narrow as the spectrum's steps allow: as that of a steady tone."""
    import numpy

    near = spectrum.density[numpy.abs(spectrum.frequencies - peak) <= LINE_AROUND * spectrum.step]
    top = int(near.argmax())
    return float(near[max(0, top - 2) : top + 3].sum()) > LINE * float(near.sum())


def _smoothing(spectrum: Spectrum, over: float) -> int:
    """Points that are averaged: an odd number."""
    return max(1, int(over / spectrum.step)) | 1


def _noise(spectrum: Spectrum) -> float:
    """The standard deviation of the smoothed density, as a share of it, if it is all noise."""
    points = max(1.0, (_smoothing(spectrum, SMOOTHED_OVER) + 1) / 2.0 / HANN_WIDTH)
    return float((spectrum.averages * points) ** -0.5)


def _summits(values: ndarray) -> list[int]:
    """Where values are higher than on both sides."""
    import numpy

    inner = (values[1:-1] > values[:-2]) & (values[1:-1] >= values[2:])
    return [int(at) + 1 for at in numpy.flatnonzero(inner)]


def _saddle(values: ndarray, at: int) -> float:
    """The higher of the lowest values between a summit and higher ground, or an end, on either side."""
    import numpy

    higher = numpy.flatnonzero(values > values[at])
    before, after = higher[higher < at], higher[higher > at]
    left = values[int(before[-1]) if len(before) else 0 : at + 1]
    right = values[at : int(after[0]) + 1 if len(after) else len(values)]
    return max(float(left.min()), float(right.min()))


def _crossing(f: ndarray, density: ndarray, top: int, level: float, way: int) -> float | None:
    """Where the density first falls to a level, seen from the peak; between points by a straight line."""
    at = top
    while 0 <= at + way < len(f):
        here, there = float(density[at]), float(density[at + way])
        if there <= level:
            return float(f[at]) + (here - level) / (here - there) * (float(f[at + way]) - float(f[at]))
        at += way
    return None
