"""Reports of measurements fit every width, whatever the numbers and names in them."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from evidence.simulated import ringing
from evidence.simulated_heaters import heat_up
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.evidence.heating.guarding import Watching
from cfgaudit.evidence.heating.heated import Configured, judge
from cfgaudit.evidence.heating.heater_fit import fit_heater
from cfgaudit.evidence.heating.heatup import HeatUp
from cfgaudit.evidence.heating.regulator import Gains, Margins, Plant
from cfgaudit.evidence.probing.repeatability import Settings, repeatability
from cfgaudit.evidence.recordings.recording import Recording
from cfgaudit.evidence.vibration.belts import analyse_belts
from cfgaudit.report.belts import belts_form, belts_lines
from cfgaudit.report.heatup import Budgets, heatup_lines
from cfgaudit.report.heatup_json import heatup_form
from cfgaudit.report.json_form import dump
from cfgaudit.report.lines import Line, breadth, plain
from cfgaudit.report.repeatability import mm, repeatability_form, repeatability_lines

WIDTHS = [40, 57, 80, 120]
LONG = Path("a-folder-with-a-long-name/evidence/2026-11-10-repeatability-probe-of-the-second-head.2.toml")


def fits(lines: list[Line], width: int) -> str:
    """The lines as read, each of which must fit."""
    for one in lines:
        assert breadth(plain(one)) <= width, plain(one)
    return " ".join(" ".join(plain(one) for one in lines).split())


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("second", [76.0, 80.0, 120.0])
def test_belts(width: int, second: float) -> None:
    runs = [Recording(1600.0, {"x": ringing(one, sweep=True)}, ("a note of it",)) for one in (80.0, second)]
    found = analyse_belts(("a.csv", "b" * 90 + ".csv"), runs)
    told = fits(list(belts_lines(found, LONG, LONG, width)), width)
    assert "common practice, no source" in told
    assert json.loads(dump(belts_form(found, None)))["schema"] == 1


@settings(max_examples=60)
@given(
    st.lists(st.floats(-300, 300), min_size=2, max_size=30),
    st.sampled_from(
        [Settings(), Settings(0.00125, 0.006, 3), Settings(0.0025, 0.0, 2), Settings(0.1, 1e-9, 2)]
    ),
    st.integers(40, 120),
)
def test_repeatability(values: list[float], configured: Settings, width: int) -> None:
    found = repeatability(values, configured)
    fits(list(repeatability_lines("probe", found, LONG, width)), width)
    assert json.loads(dump(repeatability_form("probe", found, None)))["readings"] == len(values)


@pytest.mark.parametrize(
    ("length", "told"),
    [(0.0, "0 mm"), (0.0008, "0.0008 mm"), (0.00125, "0.00125 mm"), (1.85244, "1.8524 mm"), (420.0, "420 mm"),
     (0.0013012, "0.0013 mm"), (4e-5, "0.00004 mm"), (-0.25, "-0.25 mm")],
)  # fmt: skip
def test_lengths(length: float, told: str) -> None:
    assert mm(length) == told


def test_many_outliers_are_not_all_named() -> None:
    values = np.r_[np.random.default_rng(1).normal(0, 0.001, 60), np.full(20, 0.3)].tolist()
    told = fits(list(repeatability_lines("probe", repeatability(values), None, 80)), 80)
    assert "and 8 more lie far off" in told


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("gains", [None, Gains(48, 0.9, 610), Gains(4800, 0.9, 610), Gains(1e-4)])
@pytest.mark.parametrize("seconds", [5.0, 60.0, 4000.0])
def test_heatup(width: int, gains: Gains | None, seconds: float) -> None:
    time, temperature, duty = heat_up(Plant(190.0, 1000.0, 26.0), 600.0)
    run = HeatUp(time, temperature, duty, ("a note of it",))
    watching = Watching("guard of the large bed at the front of the machine", seconds, 2.0, 6.0)
    configured = Configured((watching,), 110.0, gains, 0.85)
    found = judge("heater bed", run, fit_heater(Path("a.csv"), run), configured)
    budgets = Budgets(60.0, Margins(1.25, 15.0))
    told = fits(list(heatup_lines(found, budgets, LONG, LONG, width)), width)
    assert "by Skogestad" in told
    report = json.loads(dump(heatup_form(found, budgets, None)), parse_constant=pytest.fail)
    assert report["schema"] == 1
