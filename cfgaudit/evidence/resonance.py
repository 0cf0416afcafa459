"""An axis's resonance: from a recording, and how the axis is configured, to what both say together."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

from cfgaudit.evidence.columns import MeasurementError
from cfgaudit.evidence.modes import Mode, find_modes
from cfgaudit.evidence.record import Result
from cfgaudit.evidence.recording import Recording
from cfgaudit.evidence.shaper_choice import LEAVES, Choice, choose_shaper
from cfgaudit.evidence.spectrum import Spectrum, in_band, spectrum_of
from cfgaudit.physics.shaping import BUDGET


class Configured(NamedTuple):
    """How an axis is set now: the shaper as kind, Hz and damping ratio, and the top acceleration in mm/s²."""

    shaper: tuple[str, float, float] | None = None
    acceleration: float | None = None


class Resonance(NamedTuple):
    """What a run says of one axis."""

    axis: str
    spectrum: Spectrum
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
    signals = recording.signals
    signal = signals.get(axis, next(iter(signals.values())) if len(signals) == 1 else None)
    if signal is None:
        raise MeasurementError(
            f"{path} has no acceleration of {axis}, only {', '.join(signals)}: see --columns"
        )
    modes = find_modes(signal, recording.rate)
    if not modes:
        raise MeasurementError(
            f"{path}: nothing stands out of the noise between 5 and 300 Hz: shake the axis through its range of "
            "frequencies while recording"
        )
    spectrum = in_band(spectrum_of(signal, recording.rate))
    choice = choose_shaper(
        spectrum,
        modes[0].damping,
        configured=configured.shaper,
        acceleration=configured.acceleration,
        budget=budget,
        leaves=leaves,
    )
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
        recording.notes,
    )


def resonance_results(found: Resonance) -> tuple[Result, ...]:
    """What of it is kept: the strongest mode, the others' frequencies, and what the configured shaper comes to."""
    first, *others = found.modes
    results = [
        Result("natural frequency", _kept(first.frequency), "Hz"),
        Result("damping", _kept(first.damping), "1"),
    ]
    results.append(Result("peak frequency", _kept(first.peak), "Hz"))
    if first.half_power is not None:
        results.append(Result("half-power damping", _kept(first.half_power), "1"))
    for number, mode in enumerate(others, 2):
        results.append(Result(f"natural frequency {number}", _kept(mode.frequency), "Hz"))
    if (now := found.choice.configured) is not None:
        results.append(Result("remaining vibration", _kept(now.remains), "1"))
        results.append(Result("acceleration ceiling", _kept(now.ceiling), "mm/s²"))
    return tuple(results)


def _kept(value: float) -> float:
    """Five digits: more are noise, and a record is read by people."""
    return float(f"{value:.5g}")
