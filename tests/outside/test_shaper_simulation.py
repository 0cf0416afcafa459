"""Shapers against a simulated machine: scipy.signal and control solve x″ + 2ζωx′ + ω²x = ω²u for us.

The residual vibration is by definition what is left of a step's vibration once the last impulse has passed
(Singer and Seering 1990, from memory); the rounding of a reversal is found by convolving its path with the
impulses.
"""

from __future__ import annotations

from itertools import pairwise
from math import hypot, pi, sqrt

import control
import numpy as np
import pytest
from scipy import signal

from cfgaudit.physics.shapers import SHAPERS, Impulses, impulses
from cfgaudit.physics.shaping import residual_vibration, rounding, spread, tolerated_band

KINDS = sorted(SHAPERS)
CASES = [(50.0, 50.0, 0.0), (50.0, 50.0, 0.1), (50.0, 43.0, 0.05), (38.9, 44.1, 0.12), (61.3, 70.0, 0.0)]
"""What the shaper is made for, what the machine really rings at, and its damping."""


def left_in_scipy(shaper: Impulses, frequency: float, damping: float) -> float:
    """The amplitude at the last impulse over that of a plain step, from the state after each piece."""
    pulse = 2 * pi * frequency
    matrix, inward = [[0.0, 1.0], [-(pulse**2), -2 * damping * pulse]], [[0.0], [pulse**2]]
    system = signal.StateSpace(matrix, inward, [[1.0, 0.0]], [[0.0]])
    state, level = np.zeros(2), 0.0
    for one, after in pairwise(shaper):
        level += one.share
        times = np.linspace(0.0, after.time - one.time, 50)
        _, _, states = signal.lsim(system, np.full(50, level), times, X0=state)
        state = states[-1]
    ringing = pulse * sqrt(1 - damping**2)

    def amplitude(away: float, speed: float) -> float:
        return hypot(away, (speed + damping * pulse * away) / ringing)

    return amplitude(state[0] - 1.0, state[1]) / amplitude(-1.0, 0.0)


def left_in_control(shaper: Impulses, frequency: float, damping: float) -> float:
    """The highest peak after the last impulse, its fading taken out, over that of a plain step."""
    pulse = 2 * pi * frequency
    system = control.tf([pulse**2], [1.0, 2 * damping * pulse, pulse**2])
    end, period = shaper[-1].time, 1.0 / frequency
    times = np.linspace(0.0, end + 2 * period, 20_001)
    steps = sum(one.share * (times >= one.time) for one in shaper)
    _, moved = control.forced_response(system, times, steps)
    rest = times > end + times[1]
    kept = np.abs(moved[rest] - 1.0) * np.exp(damping * pulse * (times[rest] - end))
    return float(kept.max()) * sqrt(1 - damping**2)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize(("made_for", "rings_at", "damping"), CASES)
def test_what_is_left_is_what_scipy_simulates(
    kind: str, made_for: float, rings_at: float, damping: float
) -> None:
    shaper = impulses(kind, made_for, damping)
    assert residual_vibration(shaper, rings_at, damping) == pytest.approx(
        left_in_scipy(shaper, rings_at, damping), abs=1e-7
    )


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize(("made_for", "rings_at", "damping"), CASES[:3])
def test_what_is_left_is_what_control_simulates(
    kind: str, made_for: float, rings_at: float, damping: float
) -> None:
    shaper = impulses(kind, made_for, damping)
    assert residual_vibration(shaper, rings_at, damping) == pytest.approx(
        left_in_control(shaper, rings_at, damping), abs=3e-3
    )


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("damping", [0.0, 0.1])
def test_five_percent_are_left_at_the_ends_of_the_band(kind: str, damping: float) -> None:
    shaper = impulses(kind, 50.0, damping)
    band = tolerated_band(shaper, 50.0, damping)
    assert band is not None
    for end in band:
        assert left_in_scipy(shaper, end, damping) == pytest.approx(0.05, abs=1e-6)
    for inside in np.linspace(*band, 41):
        assert left_in_scipy(shaper, float(inside), damping) <= 0.05 + 1e-6


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize(
    ("frequency", "damping", "acceleration"), [(48.0, 0.0, 6700.0), (61.3, 0.08, 5000.0)]
)
def test_a_reversal_is_rounded_as_its_convolution_is(
    kind: str, frequency: float, damping: float, acceleration: float
) -> None:
    """The path of a full reversal is x(t) = ½at²; the shaped one turns that much earlier."""
    shaper = impulses(kind, frequency, damping)
    step = shaper[-1].time / 200_000
    kernel = np.zeros(200_001)
    for one in shaper:
        kernel[round(one.time / step)] += one.share
    times = np.arange(-600_000, 600_001) * step
    path = acceleration * times**2 / 2
    shaped = signal.fftconvolve(path, kernel, mode="valid")
    assert shaped.min() - path.min() == pytest.approx(rounding(acceleration, spread(shaper)), rel=1e-4)
