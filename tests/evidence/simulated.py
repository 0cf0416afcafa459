"""Simulated recordings: what rings, driven by noise or by a sweep. No real machine's."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from scipy import signal

if TYPE_CHECKING:
    from pathlib import Path

    from numpy import ndarray


def ringing(
    frequency: float,
    damping: float = 0.05,
    *,
    seconds: float = 8.0,
    rate: float = 1600.0,
    seed: int = 0,
    noise: float = 0.1,
    sweep: bool = False,
) -> ndarray:
    """The acceleration in mm/s² of a mass on a spring with this natural frequency in Hz, shaken."""
    random = np.random.default_rng(seed)
    times = np.arange(int(seconds * rate)) / rate
    drive = signal.chirp(times, 5.0, seconds, 200.0) if sweep else random.normal(0, 1, len(times))
    pulse = 2 * np.pi * frequency
    system = ([pulse**2], [1.0, 2 * damping * pulse, pulse**2])
    top, bottom, _ = signal.cont2discrete(system, 1.0 / rate, "impulse")
    moved = signal.lfilter(top.ravel(), bottom, drive)
    return np.asarray(1000.0 * (moved / moved.std() + noise * random.normal(0, 1, len(times))))


def write_run(path: Path, signals: dict[str, ndarray], rate: float = 1600.0, unit: str = "mm/s²") -> Path:
    """A recording as CSV, its columns named after the axes."""
    times = np.arange(len(next(iter(signals.values())))) / rate
    header = ",".join(["time (s)", *(f"{name} ({unit})" for name in signals)])
    table = np.column_stack([times, *signals.values()])
    np.savetxt(path, table, delimiter=",", fmt="%.6g", header=header, comments="", encoding="utf-8")
    return path
