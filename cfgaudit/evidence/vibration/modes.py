"""Natural frequencies and damping ratios from a recording.

Both ways are told: a fit of second-order responses (`mode_fit`), and the half-power bandwidth (`peaks`).
"""

from __future__ import annotations

from itertools import filterfalse
from typing import TYPE_CHECKING, NamedTuple

from cfgaudit.evidence.recordings.band import HIGHEST, LOWEST
from cfgaudit.evidence.vibration.mode_fit import Fit
from cfgaudit.evidence.vibration.mode_search import (
    POINTS_AT_LEAST,
    energy_shares,
    fit_modes,
    near_peaks,
    split_strongest,
)
from cfgaudit.evidence.vibration.peaks import find_peaks, half_power, is_line
from cfgaudit.evidence.vibration.spectrum import Spectrum, in_band, spectrum_of

if TYPE_CHECKING:
    from numpy import ndarray

ROUNDS = 3
FINEST = 0.1
"""Hz. The finest step that is asked of a spectrum."""
STEPS_IN_BANDWIDTH = 6.0
"""Steps of the spectrum that the half-power bandwidth should hold, so that windows do not widen it."""
TONE, DULL = 0.004, 0.3
"""Damping ratios below which a fan or a motor hums, and above which nothing rings (common practice, no
source)."""
WIDER = 2.5
"""And how many times the fit's the damping by the half-power bandwidth may be there (common practice, no
source)."""
FAINT = 0.02
"""The share of the energy below which a mode is not told."""
TELLS_TONES = 0.15
"""Hz. The widest step at which the narrowest resonance is wider than a tone."""


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
    if len(spectrum.frequencies) < POINTS_AT_LEAST:
        return ()
    peaks = _without_tones(signal, rate, spectrum, find_peaks(spectrum))
    if not peaks or len(near_peaks(spectrum, peaks).frequencies) < POINTS_AT_LEAST:
        return ()
    seconds = len(signal) / rate
    fit = split_strongest(spectrum, fit_modes(spectrum, peaks), seconds)
    for _ in range(ROUNDS):
        narrowest = min(2.0 * one.damping * one.frequency for one in fit.responses)
        step = max(FINEST, narrowest / STEPS_IN_BANDWIDTH)
        if step > 0.9 * spectrum.step:
            break
        spectrum = _spectrum(signal, rate, step)
        fit = fit_modes(spectrum, [one.frequency for one in fit.responses], [fit.signs])
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
    """What rings: neither steady tones, nor what is so damped, or so wide, that it hardly swings."""
    found = [
        Mode(one.frequency, one.damping, *half_power(spectrum, one.frequency, one.damping), share)
        for one, share in zip(fit.responses, energy_shares(spectrum, fit), strict=True)
        if TONE < one.damping < DULL and share > FAINT and LOWEST <= one.frequency <= HIGHEST
    ]
    return tuple(sorted(filterfalse(_is_wide, found), key=lambda one: one.share, reverse=True))


def _is_wide(mode: Mode) -> bool:
    """Whether the half-power bandwidth is no resonance's, and far from the fit's: as where a sweep begins."""
    return mode.half_power is not None and mode.half_power > max(DULL, WIDER * mode.damping)
