"""Two belts against one another, from accelerometer recordings of both."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from enum import StrEnum
from typing import TYPE_CHECKING, NamedTuple

from cfgaudit.evidence.recordings.columns import MeasurementError
from cfgaudit.evidence.records.record import Result, as_kept
from cfgaudit.evidence.vibration.doubts import (
    Doubt,
    notes_of_ends,
    notes_without,
    recording_doubts,
    told_of_end,
)
from cfgaudit.evidence.vibration.peaks import find_ends
from cfgaudit.evidence.vibration.spectrum import Spectrum, in_band, spectrum_of

if TYPE_CHECKING:
    from numpy import ndarray

    from cfgaudit.evidence.recordings.recording import Recording

RESOLUTION = 2.0
"""Hz between two points of a belt's spectrum: wide, so that many averages take out the noise, for noise
alone makes two recordings of one belt unlike (common practice, no source)."""
ENERGY = 0.95
"""The share of both spectra's energy that lies in the band in which they are compared."""
WELL, FAIRLY = 0.90, 0.80
"""Likeness from which belts are called well matched, and fairly alike. 93 % are an ordinary good result
(common practice, no source)."""
STANDS_OUT = 5.0
"""How many times higher than the middle of the densities a peak must be (common practice, no source)."""
SILENT = 1e-4
"""The share of the other recording's energy below which a belt was not shaken: a hundredth in amplitude."""
FAINT = 0.04
"""The share below which two recordings were shaken differently: a fifth of the amplitude."""
NEARBY, LOUD = 0.08, 0.1
"""The share of its frequency within which a peak is the same one as the other belt's, and the share of the
highest peak from which it counts (common practice, no source)."""
NAMES = ("A", "B")
WIDER = "shake both belts through the same and a wider range of frequencies"


class Match(StrEnum):
    """What a likeness is called. Common practice, no source."""

    WELL = "well matched"
    FAIRLY = "fairly alike"
    UNLIKE = "unlike"


class Belt(NamedTuple):
    """One belt as recorded."""

    file: str
    spectrum: Spectrum
    """Of all frequencies that are looked at."""
    direction: str
    """Of the acceleration: ``x``, ``y``, ``z``, or the only one's name."""
    rate: float
    """Samples a second."""
    seconds: float
    notes: tuple[str, ...] = ()
    doubts: tuple[Doubt, ...] = ()
    """What speaks against this recording."""


class Comparison(NamedTuple):
    """What two spectra say of two belts."""

    likeness: float
    """0 to 1: the correlation of the densities, each divided by its sum; 1 for identical ones."""
    peaks: tuple[float, float]
    """Hz, of A and B."""
    band: tuple[float, float]
    """Hz, in which they were compared."""
    step: float
    """Hz between two points of the spectra."""

    @property
    def match(self) -> Match:
        """What the likeness is called."""
        alike = round(self.likeness, 3)
        return Match.WELL if alike >= WELL else Match.FAIRLY if alike >= FAIRLY else Match.UNLIKE

    @property
    def tension_ratio(self) -> float:
        """The tension of A ÷ that of B.

        A string's frequency is √(T ÷ µ) ÷ 2L, so tension goes with its square, spans and belts being alike.
        """
        return (self.peaks[0] / self.peaks[1]) ** 2

    @property
    def looser(self) -> int | None:
        """0 if A is looser, 1 if B is; None where the peaks lie closer than the spectra can tell."""
        if abs(self.peaks[0] - self.peaks[1]) < self.step / 2.0:
            return None
        return 0 if self.peaks[0] < self.peaks[1] else 1

    @property
    def slack(self) -> float:
        """By which share of the tighter belt's tension the other one is looser, 0 to 1."""
        ratio = self.tension_ratio
        return 1.0 - min(ratio, 1.0 / ratio)


class Belts(NamedTuple):
    """Both belts and what they say together."""

    belts: tuple[Belt, Belt]
    comparison: Comparison
    notes: tuple[str, ...]
    """What the builder should know, each as one clause."""
    crossed: bool = False
    """Whether each belt has a peak at the other's highest too: both ring twice, and not the same is louder.
    The highest peaks do not tell the tensions then."""

    @property
    def doubts(self) -> tuple[Doubt, ...]:
        """What speaks against the comparison, with the belt's letter."""
        both = zip(self.belts, NAMES, strict=True)
        return tuple(Doubt(f"{name}: {one.told}", one.remedy) for belt, name in both for one in belt.doubts)

    @property
    def looser(self) -> int | None:
        """0 if A is looser, 1 if B is; None where that is not told."""
        return None if self.crossed or self.doubts else self.comparison.looser


def analyse_belts(
    files: Sequence[str], recordings: Sequence[Recording], direction: str | None = None
) -> Belts:
    """Two recordings, A's and B's, compared. ``files`` are their names.

    ``direction`` is the axis letter of the acceleration that counts; by default the one with most energy in
    both. Raises MeasurementError where there is no such direction, and where a belt rings nowhere.
    """
    spectra = [_spectra(recording) for recording in recordings]
    chosen = _directions(files, spectra, direction)
    left, right = (
        _belt(file, recording, spectrum[name], name)
        for file, recording, spectrum, name in zip(files, recordings, spectra, chosen, strict=True)
    )
    energies = [float(one.spectrum.density.sum()) * one.spectrum.step for one in (left, right)]
    _refuse_silence((left, right), energies)
    notes = _notes((left, right), energies, direction is None and len(spectra[0]) > 1)
    compared = compare_belts(left.spectrum, right.spectrum)
    return Belts((left, right), compared, notes, _crossed(left.spectrum, right.spectrum, compared.peaks))


def _belt(file: str, recording: Recording, spectrum: Spectrum, name: str) -> Belt:
    ends = find_ends(in_band(spectrum_of(recording.signals[name], recording.rate)))
    cut_off = bool(ends) and abs(ends[0] - _peak(spectrum)) <= NEARBY * ends[0]
    doubts = tuple(recording_doubts(recording, name))
    if cut_off:
        doubts += (Doubt(told_of_end(ends[0]), WIDER),)
    notes = (*notes_without(doubts, recording), *notes_of_ends(ends[int(cut_off) :]))
    return Belt(file, spectrum, name, recording.rate, recording.seconds, notes, doubts)


def _spectra(recording: Recording) -> Mapping[str, Spectrum]:
    return {
        name: in_band(spectrum_of(signal, recording.rate, RESOLUTION))
        for name, signal in recording.signals.items()
    }


def _directions(
    files: Sequence[str], spectra: Sequence[Mapping[str, Spectrum]], wanted: str | None
) -> tuple[str, str]:
    """Which acceleration of each recording counts: the same one if both have it."""
    for file, one in zip(files, spectra, strict=True):
        if wanted is not None and wanted not in one:
            raise MeasurementError(f"{file} has no acceleration of {wanted}: it has {', '.join(one)}")
    if wanted is not None:
        return wanted, wanted
    shares = [_shares(one) for one in spectra]
    if spectra[0].keys() == spectra[1].keys():
        both = max(shares[0], key=lambda name: shares[0][name] + shares[1][name])
        return both, both
    left, right = (max(one, key=one.__getitem__) for one in shares)
    return left, right


def _shares(spectra: Mapping[str, Spectrum]) -> Mapping[str, float]:
    """The share of a recording's energy that each direction has."""
    energies = {name: float(one.density.sum()) for name, one in spectra.items()}
    whole = sum(energies.values()) or 1.0
    return {name: energy / whole for name, energy in energies.items()}


def _refuse_silence(belts: Sequence[Belt], energies: Sequence[float]) -> None:
    import numpy

    for belt, name, energy in zip(belts, NAMES, energies, strict=True):
        if energy <= SILENT * max(energies):
            raise MeasurementError(
                f"{belt.file} is silent beside the other recording: shake belt {name} as hard, and "
                "record again"
            )
        if belt.spectrum.density.max() < STANDS_OUT * numpy.median(belt.spectrum.density):
            raise MeasurementError(
                f"{belt.file}: nothing stands out of the noise: shake belt {name} through its range of "
                "frequencies while recording"
            )


def _notes(belts: Sequence[Belt], energies: Sequence[float], chosen: bool) -> tuple[str, ...]:
    notes = [f"{name}: {note}" for belt, name in zip(belts, NAMES, strict=True) for note in belt.notes]
    left, right = belts
    if chosen and left.direction == right.direction:
        notes.append(f"the acceleration of {left.direction} is compared, which has most of the energy")
    elif chosen or left.direction != right.direction:
        notes.append(f"{left.direction} of A is compared with {right.direction} of B")
    if abs(left.rate / right.rate - 1.0) > 0.01:
        notes.append(
            f"A has {left.rate:.0f} samples a second, B {right.rate:.0f}: what both can hold is compared"
        )
    weaker = NAMES[int(energies[1] < energies[0])]
    if min(energies) < FAINT * max(energies):
        notes.append(f"{weaker} was shaken much less than the other: shake both the same way")
    return tuple(notes)


def _crossed(left: Spectrum, right: Spectrum, peaks: tuple[float, float]) -> bool:
    a, b = peaks
    apart = abs(a - b) > 2.0 * NEARBY * min(a, b)
    return apart and _rings_near(left, b) and _rings_near(right, a)


def _rings_near(spectrum: Spectrum, frequency: float) -> bool:
    """Whether a spectrum has a peak of its own near a frequency, that is not all too low."""
    import numpy

    f, density = spectrum.frequencies, spectrum.density
    near = numpy.flatnonzero(abs(f - frequency) <= NEARBY * frequency)
    if len(near) < 3:
        return False
    top = int(near[density[near].argmax()])
    return near[0] < top < near[-1] and float(density[top]) > LOUD * float(density.max())


def compare_belts(left: Spectrum, right: Spectrum) -> Comparison:
    """The likeness of two spectra over the band that holds 95 % of the energy of either, and their peaks."""
    import numpy

    peaks = _peak(left), _peak(right)
    a, b = _on_one_grid(left, right)
    f = a.frequencies
    ends = [_carrying(one, ENERGY) for one in (a, b)]
    low, high = min(low for low, _ in ends), max(high for _, high in ends)
    inside = (f >= low) & (f <= high)
    densities = [one.density[inside] / one.density[inside].sum() for one in (a, b)]
    varied = all(float(one.std()) > 0 for one in densities)
    likeness = float(numpy.corrcoef(*densities)[0, 1]) if varied else 0.0
    return Comparison(min(1.0, max(0.0, likeness)), peaks, (low, high), a.step)


def _on_one_grid(left: Spectrum, right: Spectrum) -> tuple[Spectrum, Spectrum]:
    """Both at the frequencies of the coarser one, as far as both go."""
    import numpy

    f = left.frequencies if left.step >= right.step else right.frequencies
    f = f[f <= min(left.frequencies[-1], right.frequencies[-1]) + 1e-9]
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
    """Where the density is highest, in Hz: the top of a parabola through its logarithms down to half of it.

    Many points make one peak, so that noise in the highest of them does not move it.
    """
    import numpy

    density = spectrum.density
    top = int(density.argmax())
    low, high = max(0, top - 1), min(len(density) - 1, top + 1)
    while low > 0 and density[low - 1] > density[top] / 2.0:
        low -= 1
    while high < len(density) - 1 and density[high + 1] > density[top] / 2.0:
        high += 1
    f, heights = spectrum.frequencies[low : high + 1], density[low : high + 1]
    highest = float(spectrum.frequencies[top])
    if len(f) < 3 or not (heights > 0).all():
        return highest
    bend, slope, _ = numpy.polyfit(f - highest, numpy.log(heights), 2, w=numpy.sqrt(heights / heights.max()))
    found = highest - slope / (2.0 * bend) if bend < 0 else highest
    return float(found) if f[0] <= found <= f[-1] else highest


def belt_results(found: Belts) -> tuple[Result, ...]:
    """What of it is kept."""
    compared = found.comparison
    told = (
        Result("likeness", round(100.0 * compared.likeness, 2), "%"),
        Result("peak A", as_kept(compared.peaks[0]), "Hz"),
        Result("peak B", as_kept(compared.peaks[1]), "Hz"),
    )
    return told if found.crossed else (*told, Result("tension ratio", as_kept(compared.tension_ratio), "1"))
