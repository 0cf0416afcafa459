"""Simulated heat-ups: scipy.signal's heater of first order with dead time, and noise. No real machine's."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

import numpy as np
from numpy import ndarray
from scipy import signal

from cfgaudit.evidence.heating.regulator import Plant

FINE = 10
"""Steps of the simulation in one sample."""


class Simulated(NamedTuple):
    """Times in s, temperatures in °C, duties from 0 to 1."""

    time: ndarray
    temperature: ndarray
    duty: ndarray


def heat_up(
    plant: Plant,
    seconds: float,
    *,
    step: float = 1.0,
    noise: float = 0.1,
    ambient: float = 20.0,
    duty: float = 1.0,
    until: float = np.inf,
    seed: int = 0,
) -> Simulated:
    """From cold: some samples without power, then ``duty`` up to ``until`` s, then none."""
    time = np.arange(0.0, seconds, step)
    given = np.where((time >= 4 * step) & (time < until), duty, 0.0)
    fine = np.repeat(given, FINE)
    late = round(plant.dead_time / step * FINE)
    delayed = np.concatenate([np.zeros(late), fine])[: len(fine)]
    times = np.arange(len(fine)) * step / FINE
    _, warmer, _ = signal.lsim(([plant.gain], [plant.time_constant, 1.0]), delayed, times, interp=False)
    wobble = np.random.default_rng(seed).normal(0.0, noise, len(time))
    return Simulated(time, ambient + warmer[::FINE] + wobble, given)


def write_heat_up(path: Path, run: Simulated, header: str = "time (s),temperature (°C),duty") -> Path:
    """A heat-up as CSV."""
    np.savetxt(
        path, np.column_stack(run), delimiter=",", fmt="%.5g", header=header, comments="", encoding="utf-8"
    )
    return path
