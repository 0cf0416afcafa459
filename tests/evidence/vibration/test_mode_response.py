"""Responses of modes against the textbook's system, and their slopes against differences."""

from __future__ import annotations

from collections.abc import Callable
from math import exp, pi

import numpy as np
import pytest
from scipy import signal

from cfgaudit.evidence.vibration.mode_response import (
    Response,
    Signs,
    all_signs,
    answer_of,
    density_of,
    density_slopes,
    power,
)

FREQUENCIES = np.linspace(5.0, 120.0, 200)
MODES = (Response(40.0, 0.05, 2.0), Response(55.0, 0.11, 0.7))


@pytest.mark.parametrize(
    ("lean", "top"),
    [
        (2.0, lambda w: [1.0, 0.0, 0.0]),
        (1.0, lambda w: [w, 0.0]),
        (0.0, lambda w: [w * w]),
    ],
)
def test_against_scipy(lean: float, top: Callable[[float], list[float]]) -> None:
    """Source: scipy.signal.freqs of x″ + 2ζωx′ + ω²x = …, seen as acceleration, speed and position."""
    pulse, damping = 2 * pi * 40.0, 0.05
    system = (top(pulse), [1.0, 2 * damping * pulse, pulse**2])
    _, expected = signal.freqs(*system, 2 * pi * FREQUENCIES)
    found = power(FREQUENCIES, Response(40.0, damping, 3.0), lean)
    np.testing.assert_allclose(found, 3.0 * np.abs(expected) ** 2, rtol=1e-9)


def test_a_fading_drive_takes_from_the_lean() -> None:
    """Source: a power that goes with 1 ÷ f, times that of an even drive."""
    mode = Response(40.0, 0.05, 3.0)
    even, fading = power(FREQUENCIES, mode, 2.0), power(FREQUENCIES, mode, 1.5)
    np.testing.assert_allclose(fading, even * 40.0 / FREQUENCIES, rtol=1e-9)


@pytest.mark.parametrize("lean", [-0.5, 0.0, 1.3])
@pytest.mark.parametrize("signs", [*all_signs(2)])
def test_slopes_are_those_of_the_density(signs: Signs, lean: float) -> None:
    def density(modes: tuple[Response, ...], lean: float) -> np.ndarray:
        return density_of([answer_of(FREQUENCIES, one, lean) for one in modes], signs)

    def moved(at: int, by: float) -> np.ndarray:
        if at == 6:
            return density(MODES, lean + by)
        values = [list(one) for one in MODES]
        values[at // 3][at % 3] *= exp(by)
        return density(tuple(Response(*one) for one in values), lean)

    answers = [answer_of(FREQUENCIES, one, lean) for one in MODES]
    slopes = list(density_slopes(answers, signs))
    assert len(slopes) == 7
    for at, slope in enumerate(slopes):
        step = 1e-6
        expected = (moved(at, step) - moved(at, -step)) / (2 * step)
        np.testing.assert_allclose(slope, expected, atol=1e-6 * np.abs(expected).max())
