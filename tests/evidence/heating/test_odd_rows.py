"""Rows that lie alone are found; steps, corners, noise and coarse sensors are not taken for them."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.evidence.heating.odd_rows import odd_rows
from cfgaudit.evidence.heating.regulator import Plant
from evidence.simulated_heaters import Simulated, heat_up

NOZZLE, BED, CHAMBER = Plant(420.0, 160.0, 4.0), Plant(130.0, 900.0, 9.0), Plant(55.0, 2400.0, 60.0)


def run_of(plant: Plant, noise: float, seed: int, cooled: bool = False) -> Simulated:
    seconds = 1.5 * plant.time_constant
    until = seconds / 2 if cooled else np.inf
    return heat_up(plant, seconds, noise=noise, seed=seed, until=until)


@pytest.mark.parametrize("plant", [NOZZLE, BED, CHAMBER])
@pytest.mark.parametrize("row", [0, 1, 100, -2, -1])
@pytest.mark.parametrize("wrong", [250.0, 0.0])
def test_a_single_row(plant: Plant, row: int, wrong: float) -> None:
    run = run_of(plant, 0.3, 1)
    wrong = wrong if abs(wrong - run.temperature[row]) > 40 else 600.0
    run.temperature[row] = wrong
    (found,) = odd_rows(run.time, run.temperature)
    assert (found.row, found.temperature) == (row % len(run.time), wrong)


def test_how_far_it_is_apart() -> None:
    """The medians of 48, 49, 50, 51, 52 and of 54, 55, 56, 57, 58: 250 is 194 K from the nearer one."""
    ramp = np.arange(20.0, 120.0)
    ramp[33] = 250.0
    assert [(one.row, one.apart) for one in odd_rows(np.arange(100.0), ramp)] == [(33, 194.0)]


@pytest.mark.parametrize("rows", [(100, 101), (100, 103), (40, 90, 150)])
def test_several_rows_hide_no_other(rows: tuple[int, ...]) -> None:
    run = run_of(BED, 0.3, 2)
    run.temperature[list(rows)] = 250.0
    assert tuple(one.row for one in odd_rows(run.time, run.temperature)) == rows


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from([NOZZLE, BED, CHAMBER]),
    st.sampled_from([0.0, 0.1, 0.5, 1.0, 2.0, 4.0]),
    st.sampled_from([0.0, 0.25, 1.0, 4.0]),
    st.integers(1, 40),
    st.booleans(),
    st.integers(0, 10_000),
)
def test_honest_runs(plant: Plant, noise: float, grain: float, every: int, cooled: bool, seed: int) -> None:
    """Noise up to 4 K, a sensor's steps up to 4 K, seldom or often sampled, switched off halfway or not."""
    run = run_of(plant, noise, seed, cooled)
    temperature = np.round(run.temperature / grain) * grain if grain else run.temperature
    assert odd_rows(run.time[::every], temperature[::every]) == []


@given(st.integers(2, 97), st.floats(-300, 300), st.floats(-3, 3))
def test_a_step_is_honest(row: int, height: float, slope: float) -> None:
    """A thermometer that was pushed in, a door that was opened, a recording without its middle."""
    time = np.arange(100.0)
    assert odd_rows(time, slope * time + np.where(time >= row, height, 0.0)) == []


def test_a_row_beyond_a_pause_at_the_end_is_honest() -> None:
    time = np.append(np.arange(50.0), 400.0)
    assert odd_rows(time, np.append(np.linspace(20, 40, 50), 90.0)) == []
