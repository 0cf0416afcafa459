"""Signals that were cut off, and signals that only look so."""

from __future__ import annotations

import numpy as np
import pytest

from cfgaudit.evidence.recordings.clipping import is_clipped

TIMES = np.arange(6000) / 3200
RANDOM = np.random.default_rng(5)


@pytest.mark.parametrize("frequency", [15.0, 48.0, 110.0])
@pytest.mark.parametrize("end", [0.5, 0.9])
@pytest.mark.parametrize("step", [1e-9, 0.004])
def test_waves_that_are_cut_off(frequency: float, end: float, step: float) -> None:
    wave = np.round(np.clip(np.sin(2 * np.pi * frequency * TIMES), -1, end) / step) * step
    assert is_clipped(wave)
    assert not is_clipped(-wave)


def test_noise_that_is_cut_off() -> None:
    noise = RANDOM.normal(size=20_000)
    assert not is_clipped(noise)
    assert is_clipped(np.minimum(np.convolve(noise, np.ones(8) / 8, "same"), 0.5))


@pytest.mark.parametrize("frequency", [15.0, 48.0])
@pytest.mark.parametrize("levels", [4, 20, 100, 1000])
def test_slow_waves_in_coarse_steps_are_not_cut_off(frequency: float, levels: int) -> None:
    """A sensor of few steps stands at a wave's top for many samples, but comes there by single steps."""
    wave = np.round(levels * np.sin(2 * np.pi * frequency * TIMES)) / levels
    assert not is_clipped(wave)


def test_what_stands_still_is_not_cut_off() -> None:
    assert not is_clipped(np.zeros(100))
    assert not is_clipped(np.array([1.0] * 50 + [0.0] * 50))
