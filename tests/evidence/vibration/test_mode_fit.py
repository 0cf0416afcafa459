"""The fit: exact densities give their parameters back, and scipy finds no better place."""

from __future__ import annotations

from math import exp, log

import numpy as np
import pytest
from scipy import optimize

from cfgaudit.evidence.vibration.mode_fit import fit_responses, fitted_density
from cfgaudit.evidence.vibration.mode_response import Response, Way, all_ways, answer_of, density_of

FREQUENCIES = np.arange(20.0, 100.0, 0.25)


def exact(modes: list[Response], way: Way, floor: float = 0.001) -> np.ndarray:
    answers = [answer_of(FREQUENCIES, one, way.shape) for one in modes]
    return floor + density_of(answers, way.signs)


@pytest.mark.parametrize("way", [*all_ways(1)])
@pytest.mark.parametrize("damping", [0.02, 0.1, 0.2])
def test_one_mode(way: Way, damping: float) -> None:
    (found,) = fit_responses(FREQUENCIES, exact([Response(48.0, damping, 2.0)], way), [50.0]).responses
    assert found == pytest.approx((48.0, damping, 2.0), rel=1e-3)


@pytest.mark.parametrize("way", [*all_ways(2)])
def test_two_modes(way: Way) -> None:
    modes = [Response(45.0, 0.04, 2.0), Response(60.0, 0.05, 1.0)]
    density = exact(modes, way)
    found = fit_responses(FREQUENCIES, density, [44.0, 61.0])
    assert found.way == way
    for one, true in zip(found.responses, modes, strict=True):
        assert one == pytest.approx(true, rel=2e-3)
    np.testing.assert_allclose(fitted_density(FREQUENCIES, found), density, rtol=0.01)


@pytest.mark.parametrize("seed", range(5))
def test_scipy_finds_no_better_place(seed: int) -> None:
    """Source: scipy.optimize.minimize (Nelder and Mead), from the place that was found, on Whittle's sum."""
    noise = np.random.default_rng(seed).gamma(8, 1 / 8, len(FREQUENCIES))
    way = Way("acceleration", (1.0,))
    density = exact([Response(48.0, 0.05, 2.0)], way, 2.0) * noise
    found = fit_responses(FREQUENCIES, density, [48.0], [way])

    def misfit(point: np.ndarray) -> float:
        *mode, floor = (exp(one) for one in point)
        model = exact([Response(*mode)], way, floor)
        return float((density / model + np.log(model)).mean())

    start = [log(one) for one in (*found.responses[0], found.floor)]
    assert misfit(np.array(start)) == pytest.approx(found.misfit, abs=1e-12)
    better = optimize.minimize(misfit, start, method="Nelder-Mead", options={"xatol": 1e-8, "fatol": 1e-12})
    assert better.fun >= found.misfit - 1e-6
