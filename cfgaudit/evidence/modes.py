"""Natural frequencies and damping ratios from a spectrum.

Two ways, and both are told: the half-power bandwidth, ζ = (f₂ − f₁) ÷ 2 f₀ where the density is half of its peak
(S. S. Rao, Mechanical Vibrations, from memory), and a fit of second-order responses by maximum likelihood: the
density of each is A r^p ÷ ((1 − r²)² + (2ζr)²), r = f ÷ f₀, with p = 0 where the signal follows the position of
what rings, 2 for its speed, 4 for its acceleration; of these the one that fits best counts.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

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
SHAPES = ("acceleration", "speed", "position", "carried")
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


def response(ratio: ndarray, damping: float, shape: str) -> ndarray:
    """The density over r = f ÷ f₀: the numerator that belongs to one of `SHAPES`, ÷ ((1 − r²)² + (2ζr)²)."""
    around = (1.0 - ratio**2) ** 2 + (2.0 * damping * ratio) ** 2
    if shape == "carried":
        return (1.0 + (2.0 * damping * ratio) ** 2) / around
    return ratio ** {"acceleration": 4.0, "speed": 2.0, "position": 0.0}[shape] / around


def _fitted(spectrum: Spectrum, peaks: Sequence[float]) -> tuple[Mode, ...]:
    if not peaks:
        return ()
    near = _near(spectrum, peaks)
    fits = [_fit(near, peaks, shape) for shape in SHAPES]
    _, modes, shape = min(fits, key=lambda one: one[0])
    energies = [
        strength * float(response(spectrum.frequencies / f, z, shape).sum()) for f, z, strength in modes
    ]
    whole = sum(energies) or 1.0
    found = [
        Mode(f, z, *_half_power(spectrum, f, z), energy / whole)
        for (f, z, _), energy in zip(modes, energies, strict=True)
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


def _fit(
    spectrum: Spectrum, peaks: Sequence[float], shape: str
) -> tuple[float, list[tuple[float, float, float]], str]:
    """Misfit, modes as (frequency, damping, strength), and the shape. The likelihood is that of averaged
    periodograms, whose noise grows with the density itself: Σ P/S + ln S (P. Whittle, Ark. Mat. 2 (1953) 423-434,
    from memory)."""
    import numpy
    from scipy.optimize import minimize

    f, density = spectrum.frequencies, spectrum.density
    floor = float(numpy.quantile(density, 0.05)) + 1e-12 * float(density.max())
    start, bounds = [], []
    for peak in peaks:
        at = int(numpy.abs(f - peak).argmin())
        start += [numpy.log(peak), numpy.log(0.05), numpy.log(float(density[at]) * 0.01)]
        bounds += [
            (numpy.log(peak * 0.8), numpy.log(peak * 1.25)),
            (numpy.log(0.002), numpy.log(0.7)),
            (start[-1] - 20.0, start[-1] + 20.0),
        ]
    start.append(numpy.log(floor))
    bounds.append((start[-1] - 20.0, start[-1] + 20.0))

    def modelled(point: ndarray) -> ndarray:
        total = numpy.full_like(f, numpy.exp(point[-1]))
        for at in range(0, len(point) - 1, 3):
            total += numpy.exp(point[at + 2]) * response(
                f / numpy.exp(point[at]), numpy.exp(point[at + 1]), shape
            )
        return total

    def misfit(point: ndarray) -> float:
        model = modelled(point)
        return float((density / model + numpy.log(model)).mean())

    best = minimize(
        misfit,
        numpy.array(start),
        method="L-BFGS-B",
        bounds=bounds,
        options={"maxiter": 500, "maxfun": 20000},
    )
    values = numpy.exp(best.x)
    return (
        float(best.fun),
        [tuple(map(float, values[at : at + 3])) for at in range(0, len(values) - 1, 3)],
        shape,
    )  # type: ignore[misc]


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
