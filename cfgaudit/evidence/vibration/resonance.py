"""An axis's resonance: from a recording, and how the axis is configured, to what both say together."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

from cfgaudit.evidence.recordings.band import HIGHEST, LOWEST
from cfgaudit.evidence.recordings.channels import UNNAMED
from cfgaudit.evidence.recordings.columns import MeasurementError
from cfgaudit.evidence.recordings.recording import Recording
from cfgaudit.evidence.records.record import Result, as_kept
from cfgaudit.evidence.vibration.doubts import (
    Doubt,
    damping_doubts,
    notes_of_ends,
    notes_without,
    recording_doubts,
    told_of_end,
)
from cfgaudit.evidence.vibration.modes import Mode, find_modes
from cfgaudit.evidence.vibration.peaks import find_ends
from cfgaudit.evidence.vibration.shaper_choice import LEAVES, Choice, Wanted, choose_shaper
from cfgaudit.evidence.vibration.spectrum import Spectrum, in_band, spectrum_of
from cfgaudit.physics.shaping import BUDGET


class Configured(NamedTuple):
    """How an axis is set now: the shaper as kind, Hz and damping ratio, and the top acceleration in mm/s².

    The ratio is 0 where none is written.
    """

    shaper: tuple[str, float, float] | None = None
    acceleration: float | None = None
    damping_is_written: bool = True


class Resonance(NamedTuple):
    """What a run says of one axis."""

    axis: str
    spectrum: Spectrum
    """In the band in which printers ring."""
    modes: tuple[Mode, ...]
    """The strongest first; never empty."""
    choice: Choice
    configured: Configured
    budget: float
    """mm that a full reversal may be rounded."""
    leaves: float
    """The share of the vibration that a shaper may leave."""
    seconds: float
    rate: float
    notes: tuple[str, ...]
    doubts: tuple[Doubt, ...] = ()
    """What speaks against all of it."""

    @property
    def wanted(self) -> Wanted:
        """What was asked of a shaper."""
        return Wanted(self.configured.acceleration, self.budget, self.leaves)


def analyse(
    path: Path,
    recording: Recording,
    axis: str,
    configured: Configured,
    *,
    budget: float = BUDGET,
    leaves: float = LEAVES,
) -> Resonance:
    """What a recording says of an axis (a lower-case letter). ``path`` is for the errors.

    Raises MeasurementError where the axis was not recorded, or nothing rings.
    """
    name, notes = _direction(path, recording, axis)
    signal = recording.signals[name]
    spectrum = in_band(spectrum_of(signal, recording.rate))
    modes, ends = find_modes(signal, recording.rate), find_ends(spectrum)
    if not modes:
        raise MeasurementError(f"{path}: {_nothing(ends)}")
    ringing = [(one.frequency, one.damping) for one in modes]
    wanted = Wanted(configured.acceleration, budget, leaves)
    choice = choose_shaper(spectrum, ringing, configured.shaper, wanted)
    doubts = (*recording_doubts(recording, name), *damping_doubts(modes, recording.seconds))
    return Resonance(
        axis,
        spectrum,
        modes,
        choice,
        configured,
        budget,
        leaves,
        recording.seconds,
        recording.rate,
        (*notes_without(doubts, recording), *notes, *notes_of_ends(ends), *_unwritten(configured)),
        doubts,
    )


def _unwritten(configured: Configured) -> tuple[str, ...]:
    if configured.shaper is None or configured.damping_is_written:
        return ()
    return ("no damping ratio is written for the configured shaper, and it is computed with 0",)


def _nothing(ends: Sequence[float]) -> str:
    """Why no mode was found."""
    if ends:
        return f"{told_of_end(ends[0])}: shake the axis through a wider range of frequencies"
    return (
        f"nothing rings between {LOWEST:.0f} and {HIGHEST:.0f} Hz: shake the axis through its range of "
        "frequencies while recording, and for longer"
    )


def _direction(path: Path, recording: Recording, axis: str) -> tuple[str, tuple[str, ...]]:
    """The acceleration of an axis, by name; a single one is taken to be of whatever was shaken."""
    signals = recording.signals
    if axis in signals:
        return axis, ()
    if len(signals) > 1:
        raise MeasurementError(
            f"{path} has no acceleration of {axis}, only of {', '.join(signals)}: see --columns"
        )
    (name,) = signals
    if name == UNNAMED:
        return name, ()
    return name, (f"the file has one acceleration, {name}, and it is taken as that of {axis}",)


def resonance_results(found: Resonance) -> tuple[Result, ...]:
    """What of it is kept: the strongest mode, where others lie, and what the configured shaper comes to.

    The acceleration is what a shaper of the configured kind allows at its best frequency for this spectrum,
    within the usual rounding budget, whatever was asked for: records are compared, and at the frequency that
    is set now nothing that was measured would show in it.
    """
    first, *others = found.modes
    results = [
        Result("natural frequency", as_kept(first.frequency), "Hz"),
        Result("damping", as_kept(first.damping), "1"),
        Result("peak frequency", as_kept(first.peak), "Hz"),
    ]
    if first.half_power is not None:
        results.append(Result("half-power damping", as_kept(first.half_power), "1"))
    for number, mode in enumerate(others, 2):
        results.append(Result(f"natural frequency {number}", as_kept(mode.frequency), "Hz"))
    if (now := found.choice.configured) is not None:
        results.append(Result("remaining vibration", as_kept(now.remains), "1"))
    if (best := found.choice.same_kind) is not None:
        usual = best.ceiling * BUDGET / found.budget
        results.append(Result("acceleration ceiling", as_kept(usual), "mm/s²"))
    return tuple(results)
