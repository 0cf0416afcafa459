"""Densities: Parseval's theorem, and recordings that are short."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.evidence.vibration.spectrum import SEGMENTS, in_band, spectrum_of


@settings(max_examples=80, deadline=None)
@given(st.integers(64, 5000), st.floats(200, 50_000), st.floats(0.05, 20), st.integers(0, 99))
def test_the_density_holds_the_mean_square(length: int, rate: float, resolution: float, seed: int) -> None:
    """Parseval: Σ S Δf is the mean square about the mean, whatever the signal, its length and the steps."""
    signal = np.random.default_rng(seed).normal(3.0, 50.0, length).cumsum()
    found = spectrum_of(signal, rate, resolution)
    assert found.density.sum() * found.step == pytest.approx(signal.var(), rel=1e-9)
    assert found.frequencies[0] == 0
    assert found.frequencies[-1] == pytest.approx(rate / 2)


def test_steps_are_as_asked_where_the_signal_is_long_enough() -> None:
    long, short = (spectrum_of(np.random.default_rng(0).normal(size=size), 1000.0) for size in (60_000, 4000))
    assert long.step == pytest.approx(0.5)
    assert long.averages == 59
    assert short.step == pytest.approx(1000 / (2 * 4000 // (SEGMENTS + 1)), rel=0.01)
    assert short.averages >= SEGMENTS


def test_the_band() -> None:
    part = in_band(spectrum_of(np.random.default_rng(0).normal(size=60_000), 1000.0), 20.0, 30.0)
    assert (part.frequencies[0], part.frequencies[-1]) == (20.0, 30.0)
    assert len(part.density) == 21


def test_a_moment_counts_the_same_wherever_it_lies() -> None:
    """A short ringing at the very beginning, in the middle and at the end has one energy at one frequency."""
    times = np.arange(400) / 1000
    burst = np.exp(-9 * times) * np.sin(2 * np.pi * 60 * times)
    found = []
    for at in (0, 137, 9000, 19_600):
        signal = np.zeros(20_000)
        signal[at : at + 400] = burst
        found.append(spectrum_of(signal, 1000.0).density)
    for one in found[1:]:
        np.testing.assert_allclose(one, found[0], rtol=0.02, atol=1e-3 * found[0].max())
