"""Heaters fitted to simulated heat-ups, and runs that no heater explains."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from cfgaudit.evidence.heating.heater_fit import fit_heater, simulated
from cfgaudit.evidence.heating.heatup import HeatUp
from cfgaudit.evidence.heating.regulator import Plant
from cfgaudit.evidence.recordings.columns import MeasurementError
from evidence.simulated_heaters import heat_up

PATH = Path("run.csv")
BED = Plant(130.0, 900.0, 8.0)


def test_a_model_at_rest_stays_at_rest() -> None:
    assert simulated(BED, np.zeros(50), 1.0, 21.0, 21.0) == pytest.approx(np.full(50, 21.0))


def test_a_model_starts_where_it_starts_and_cools_to_ambient() -> None:
    """Without power what is above ambient falls by e in one time constant."""
    cooling = simulated(Plant(130.0, 100.0, 0.0), np.zeros(101), 1.0, 20.0, 120.0)
    assert cooling[0] == pytest.approx(120.0)
    assert cooling[100] == pytest.approx(20.0 + 100.0 / np.e)


def test_a_dead_time_between_samples() -> None:
    """After a dead time of 2.5 s a step has worked for 1.5 s at 4 s: k (1 − e^(−1.5/τ))."""
    warm = simulated(Plant(100.0, 10.0, 2.5), np.ones(10), 1.0, 0.0, 0.0)
    assert warm[2] == pytest.approx(0.0)
    assert warm[4] == pytest.approx(100.0 * (1 - np.exp(-0.15)))


def test_a_run_that_ends_early_says_so() -> None:
    run = heat_up(BED, 300.0)
    assert fit_heater(PATH, HeatUp(run.time, run.temperature, run.duty)).short
    long = heat_up(BED, 1500.0)
    fit = fit_heater(PATH, HeatUp(long.time, long.temperature, long.duty))
    assert not fit.short
    assert fit.top == pytest.approx(long.temperature.max())
    assert fit.full == 1.0


@pytest.mark.parametrize("seed", range(4))
def test_the_fit_says_where_its_model_begins(seed: int) -> None:
    """What a picture shows as the difference is then no more than what the fit says that it is off by."""
    run = heat_up(BED, 600.0, noise=0.5, seed=seed)
    fit = fit_heater(PATH, HeatUp(run.time, run.temperature, run.duty))
    missed = run.temperature - simulated(fit.plant, run.duty, 1.0, fit.ambient, fit.start)
    assert np.sqrt(np.mean(missed**2)) == pytest.approx(fit.residual)
    assert np.abs(missed).max() == pytest.approx(fit.worst)
    assert fit.rise == pytest.approx(fit.top - fit.start)


def test_a_fan_that_comes_on_makes_the_fit_rough() -> None:
    """From half of the run on it loses heat 1.4 times as fast, by Euler's steps of 0.01 s."""
    warm, seen = 22.0, []
    for step in range(40_000):
        if step % 100 == 0:
            seen.append(warm)
        warm += 0.01 * (3.6 - (warm - 22.0) / (150.0 if step < 20_000 else 107.0))
    fit = fit_heater(PATH, HeatUp(np.arange(400.0), np.array(seen), np.ones(400)))
    assert fit.rough
    plain = heat_up(BED, 1500.0, noise=0.5)
    assert not fit_heater(PATH, HeatUp(plain.time, plain.temperature, plain.duty)).rough


def test_no_heater_falls_while_it_is_heated() -> None:
    time = np.arange(200.0)
    wild = 100.0 + 60.0 * np.sin(time / 7.0)
    with pytest.raises(MeasurementError, match=r"run\.csv: no heater explains this run"):
        fit_heater(PATH, HeatUp(time, wild, np.ones(200)))


def test_a_temperature_that_falls_with_the_duty_is_no_heater() -> None:
    time = np.arange(400.0)
    duty = (time >= 200).astype(float)
    with pytest.raises(MeasurementError, match="no heater explains"):
        fit_heater(PATH, HeatUp(time, np.where(time < 200, 20 + time / 2, 320 - time), duty))
