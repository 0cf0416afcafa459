"""The fit: exact densities give their parameters back, and scipy finds no better place."""

from __future__ import annotations

from math import exp, log

import numpy as np
import pytest
from scipy import optimize

from cfgaudit.evidence.vibration.mode_fit import LEAN, fit_responses, fitted_density
from cfgaudit.evidence.vibration.mode_response import Response, Signs, all_signs, answer_of, density_of

FREQUENCIES = np.arange(20.0, 100.0, 0.25)


LEANS = [-0.5, 0.0, 0.3, 1.0, 2.0]
"""Of a position in a sweep that takes as long for every octave, a position, a speed, an acceleration."""


def exact(modes: list[Response], signs: Signs, lean: float, floor: float = 0.001) -> np.ndarray:
    answers = [answer_of(FREQUENCIES, one, lean) for one in modes]
    return floor + density_of(answers, signs)


@pytest.mark.parametrize("lean", LEANS)
@pytest.mark.parametrize("damping", [0.02, 0.1, 0.2])
def test_one_mode(lean: float, damping: float) -> None:
    density = exact([Response(48.0, damping, 2.0)], (1.0,), lean)
    found = fit_responses(FREQUENCIES, density, [50.0])
    assert found.lean == pytest.approx(lean, abs=0.01)
    assert found.responses[0] == pytest.approx((48.0, damping, 2.0), rel=1e-3)


@pytest.mark.parametrize("lean", LEANS)
@pytest.mark.parametrize("signs", [*all_signs(2)])
def test_two_modes(signs: Signs, lean: float) -> None:
    modes = [Response(45.0, 0.04, 2.0), Response(60.0, 0.05, 1.0)]
    density = exact(modes, signs, lean)
    found = fit_responses(FREQUENCIES, density, [44.0, 61.0])
    assert found.signs == signs
    for one, true in zip(found.responses, modes, strict=True):
        assert one == pytest.approx(true, rel=2e-3)
    np.testing.assert_allclose(fitted_density(FREQUENCIES, found), density, rtol=0.01)


@pytest.mark.parametrize("damping", [0.03, 0.1, 0.2])
def test_a_mode_carried_by_what_is_shaken(damping: float) -> None:
    """Source: the textbook's transmissibility, (1 + 2jζr) ÷ (1 − r² + 2jζr), which no lean is exactly."""
    ratio = FREQUENCIES / 48.0
    swing = 2j * damping * ratio
    density = abs((1.0 + swing) / (1.0 - ratio**2 + swing)) ** 2
    (found,) = fit_responses(FREQUENCIES, density, [50.0]).responses
    assert found.frequency == pytest.approx(48.0, rel=0.01)
    assert found.damping == pytest.approx(damping, rel=0.05)


@pytest.mark.parametrize("seed", range(5))
def test_scipy_finds_no_better_place(seed: int) -> None:
    """Source: scipy.optimize.minimize (Nelder and Mead), from the place that was found, on Whittle's sum."""
    noise = np.random.default_rng(seed).gamma(8, 1 / 8, len(FREQUENCIES))
    density = exact([Response(48.0, 0.05, 2.0)], (1.0,), 2.0, 2.0) * noise
    found = fit_responses(FREQUENCIES, density, [48.0])

    def misfit(point: np.ndarray) -> float:
        *mode, floor = (exp(one) for one in point[1:])
        model = exact([Response(*mode)], (1.0,), point[0], floor)
        return float((density / model + np.log(model)).mean())

    start = [found.lean, *(log(one) for one in (*found.responses[0], found.floor))]
    assert misfit(np.array(start)) == pytest.approx(found.misfit, abs=1e-12)
    better = optimize.minimize(
        misfit, start, method="Nelder-Mead", options={"xatol": 1e-8, "fatol": 1e-12, "maxfev": 4000}
    )
    assert better.fun >= found.misfit - 1e-6 or not LEAN[0] <= better.x[0] <= LEAN[1]
