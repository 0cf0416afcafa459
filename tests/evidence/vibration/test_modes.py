"""What is taken for a resonance, and what is not; how exactly is for tests/outside/test_resonance.py."""

from __future__ import annotations

import warnings

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import signal

from cfgaudit.evidence.vibration.modes import find_modes
from evidence.simulated import ringing

RATE = 1600.0


@pytest.mark.parametrize("seconds", [0.2, 1.0, 3.0, 10.0, 30.0])
@pytest.mark.parametrize("colour", [0.0, 0.98])
def test_noise_does_not_ring(seconds: float, colour: float) -> None:
    for seed in range(12):
        noise = np.random.default_rng(seed).normal(size=int(seconds * RATE))
        assert find_modes(signal.lfilter([1.0], [1.0, -colour], noise), RATE) == ()


def test_neither_do_a_sweep_or_nothing() -> None:
    times = np.arange(int(30 * RATE)) / RATE
    assert find_modes(signal.chirp(times, 5.0, 30.0, 200.0), RATE) == ()
    assert find_modes(np.zeros(5000), RATE) == ()
    assert find_modes(np.zeros(20), RATE) == ()


def test_a_steady_tone_is_no_resonance() -> None:
    """A fan's hum, alone and beside a resonance."""
    times = np.arange(int(60 * RATE)) / RATE
    hum = 300.0 * np.sin(2 * np.pi * 100.0 * times)
    assert find_modes(hum + np.random.default_rng(0).normal(size=len(times)), RATE) == ()
    (mode,) = find_modes(ringing(48.0, seconds=60.0) + hum, RATE)
    assert mode.frequency == pytest.approx(48.0, rel=0.01)


def test_a_single_blow_rings() -> None:
    times = np.arange(int(2 * RATE)) / RATE
    since = np.maximum(times - 0.5, 0.0)
    blow = np.exp(-12.0 * since) * np.sin(2 * np.pi * 48.0 * since)
    (mode,) = find_modes(1000.0 * blow + np.random.default_rng(0).normal(size=len(times)), RATE)
    assert mode.frequency == pytest.approx(48.0, rel=0.01)
    assert mode.damping == pytest.approx(12.0 / (2 * np.pi * 48.0), rel=0.15)


def test_the_strongest_comes_first_and_the_shares_add_up() -> None:
    weak, strong = ringing(40.0, seconds=60.0, seed=1), ringing(90.0, seconds=60.0, seed=2)
    modes = find_modes(0.5 * weak + strong, RATE)
    assert [round(one.frequency) for one in modes] == [90, 40]
    assert sum(one.share for one in modes) == pytest.approx(1.0)
    assert modes[1].share == pytest.approx(0.2, abs=0.04)


def test_the_two_ways_are_held_against_one_another() -> None:
    (mode,) = find_modes(ringing(60.0, 0.04, seconds=120.0, noise=0.01), RATE)
    assert mode.half_power is not None
    assert mode.half_power == pytest.approx(0.04, rel=0.25)
    assert mode.disagreement == pytest.approx(mode.half_power / mode.damping - 1.0)
    assert mode._replace(half_power=None).disagreement is None


def test_the_size_of_the_numbers_changes_nothing() -> None:
    run = ringing(60.0, seconds=20.0)
    (small,), (large,) = find_modes(1e-6 * run, RATE), find_modes(1e6 * run, RATE)
    assert small.frequency == pytest.approx(large.frequency, rel=1e-4)
    assert small.damping == pytest.approx(large.damping, rel=1e-3)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.floats(-1e8, 1e8), min_size=1, max_size=12),
    st.integers(256, 2000),
    st.floats(200.0, 20_000.0),
    st.sampled_from([0.0, 1e-6, 1.0]),
    st.integers(0, 99),
)
def test_any_signal(shape: list[float], count: int, rate: float, noise: float, seed: int) -> None:
    """Whatever was recorded, modes are finite numbers of the band; and no warning of numpy's is shown."""
    repeated = np.resize(np.array(shape), count) + noise * np.random.default_rng(seed).normal(size=count)
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        found = find_modes(repeated - repeated.mean(), rate)
    for mode in found:
        assert 0 < mode.frequency < 400
        assert 0 < mode.damping < 1
        assert 0 < mode.share <= 1 + 1e-9
