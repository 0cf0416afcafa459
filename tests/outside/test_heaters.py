"""Heaters that scipy.signal simulates, with noise, are found again by the fit.

First order plus dead time, as any textbook of process control has it. The simulation steps ten times as
finely as the samples, and knows nothing of ours.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from evidence.simulated_heaters import heat_up
from scipy import signal

from cfgaudit.evidence.heating.guarding import MeasuredHeater
from cfgaudit.evidence.heating.heater_fit import HeaterFit, fit_heater, simulated
from cfgaudit.evidence.heating.heatup import HeatUp
from cfgaudit.evidence.heating.regulator import Plant

NOZZLE, BED, CHAMBER = Plant(420.0, 160.0, 4.0), Plant(130.0, 900.0, 9.0), Plant(55.0, 2400.0, 60.0)
RUNS = [
    (NOZZLE, {"seconds": 250.0, "step": 0.5, "noise": 0.3}),
    (NOZZLE, {"seconds": 400.0, "step": 0.5, "noise": 1.0, "duty": 0.6}),
    (BED, {"seconds": 1200.0, "step": 1.0, "noise": 0.15}),
    (BED, {"seconds": 2500.0, "step": 2.0, "noise": 0.15, "until": 1500.0}),
    (CHAMBER, {"seconds": 5400.0, "step": 5.0, "noise": 0.1, "ambient": 17.0}),
]


def fitted(plant: Plant, seed: int, options: dict[str, float]) -> HeaterFit:
    run = heat_up(plant, seed=seed, **options)
    return fit_heater(Path("run.csv"), HeatUp(run.time, run.temperature, run.duty))


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize(("plant", "options"), RUNS)
def test_the_heater_is_found_again(plant: Plant, options: dict[str, float], seed: int) -> None:
    fit = fitted(plant, seed, options)
    assert fit.plant.gain == pytest.approx(plant.gain, rel=0.03)
    assert fit.plant.time_constant == pytest.approx(plant.time_constant, rel=0.04)
    assert fit.plant.dead_time == pytest.approx(plant.dead_time, rel=0.15)
    assert fit.residual == pytest.approx(options["noise"], rel=0.1)


@pytest.mark.parametrize("plant", [NOZZLE, BED])
def test_a_short_run_still_tells_how_fast_it_rises(plant: Plant) -> None:
    """Gain ÷ time constant is the rise at the start, and is known long before either."""
    fit = fitted(plant, 1, {"seconds": 0.35 * plant.time_constant, "step": 0.5, "noise": 0.2})
    assert fit.plant.gain / fit.plant.time_constant == pytest.approx(
        plant.gain / plant.time_constant, rel=0.05
    )


@pytest.mark.parametrize(("plant", "limit", "seconds"), [(NOZZLE, 280.0, 60.0), (BED, 110.0, 300.0)])
def test_how_hot_it_gets_while_the_guard_waits(plant: Plant, limit: float, seconds: float) -> None:
    """scipy heats at full power; from the moment when the sensor shows the limit, and falls off, the heater
    itself, which has no dead time, goes on until the guard looks."""
    times = np.arange(0.0, 4 * plant.time_constant, 0.05)
    _, itself, _ = signal.lsim(([plant.gain], [plant.time_constant, 1.0]), np.ones(len(times)), times)
    shown_at = times[np.argmax(20.0 + itself >= limit)] + plant.dead_time
    reached = 20.0 + float(np.interp(shown_at + seconds, times, itself))
    heater = MeasuredHeater(plant, 20.0, limit)
    assert limit + heater.unnoticed(limit, seconds) == pytest.approx(reached, abs=0.2)


@pytest.mark.parametrize("plant", [NOZZLE, BED, CHAMBER])
def test_the_model_is_scipys(plant: Plant) -> None:
    run = heat_up(plant, 2 * plant.time_constant, step=1.0, noise=0.0, until=plant.time_constant)
    ours = simulated(plant, run.duty, 1.0, 20.0, 20.0)
    assert np.abs(ours - run.temperature).max() < 1e-6


@pytest.mark.parametrize("seconds", [5.0, 20.0, 60.0])
def test_what_a_standing_heater_gains_is_what_scipy_simulates(seconds: float) -> None:
    """From rest at ambient: k (1 − e^(−(t − θ)/τ)) after the dead time."""
    run = heat_up(NOZZLE, 4.0 + seconds + 1.0, step=1.0, noise=0.0)
    heater = MeasuredHeater(NOZZLE, 20.0, 250.0)
    assert heater.gained(20.0, seconds) == pytest.approx(run.temperature[4 + int(seconds)] - 20.0, abs=1e-6)
