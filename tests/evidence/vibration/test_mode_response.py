"""Responses of modes against the textbook's system, and their slopes against differences."""

from __future__ import annotations

from math import exp, pi

import numpy as np
import pytest
from scipy import signal

from cfgaudit.evidence.vibration.mode_response import (
    Response,
    Way,
    all_ways,
    answer_of,
    density_of,
    density_slopes,
    power,
)

FREQUENCIES = np.linspace(5.0, 120.0, 200)
MODES = (Response(40.0, 0.05, 2.0), Response(55.0, 0.11, 0.7))


@pytest.mark.parametrize(
    ("shape", "top"),
    [
        ("acceleration", lambda w, z: [1.0, 0.0, 0.0]),
        ("speed", lambda w, z: [w, 0.0]),
        ("position", lambda w, z: [w * w]),
        ("carried", lambda w, z: [2 * z * w, w * w]),
    ],
)
def test_against_scipy(shape: str, top: object) -> None:
    """Source: scipy.signal.freqs of x″ + 2ζωx′ + ω²x = …, driven and seen in four ways."""
    pulse, damping = 2 * pi * 40.0, 0.05
    system = (top(pulse, damping), [1.0, 2 * damping * pulse, pulse**2])  # type: ignore[operator]
    _, expected = signal.freqs(*system, 2 * pi * FREQUENCIES)
    found = power(FREQUENCIES, Response(40.0, damping, 3.0), shape)
    np.testing.assert_allclose(found, 3.0 * np.abs(expected) ** 2, rtol=1e-9)


@pytest.mark.parametrize("way", [*all_ways(2)])
def test_slopes_are_those_of_the_density(way: Way) -> None:
    def density(modes: tuple[Response, ...]) -> np.ndarray:
        answers = [answer_of(FREQUENCIES, one, way.shape) for one in modes]
        return density_of(answers, way.signs)

    def moved(mode: int, field: int, by: float) -> tuple[Response, ...]:
        values = [list(one) for one in MODES]
        values[mode][field] *= exp(by)
        return tuple(Response(*one) for one in values)

    answers = [answer_of(FREQUENCIES, one, way.shape) for one in MODES]
    for at, slope in enumerate(density_slopes(answers, way.signs)):
        step = 1e-6
        up, down = (density(moved(at // 3, at % 3, by)) for by in (step, -step))
        expected = (up - down) / (2 * step)
        np.testing.assert_allclose(slope, expected, atol=1e-6 * np.abs(expected).max())
    assert at == 5
