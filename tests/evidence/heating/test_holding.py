"""Heat-ups that were held, or waited for, for hours: the same heater, whatever follows or comes before."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from cfgaudit.evidence.heating.heater_fit import fit_heater
from cfgaudit.evidence.heating.heatup import POINTS_AT_MOST, HeatUp, read_heatup
from cfgaudit.evidence.heating.holding import cut_note

GAIN, CONSTANT, DEAD, AMBIENT = 135.0, 600.0, 7.0, 21.0
POWERED = 560.0
"""s of full power, then as much as holds that temperature."""
HOUR = 3600


def run_of(path: Path, *, hold: int, wait: int = 4, noise: float = 0.1) -> HeatUp:
    """A heater of first order with dead time in closed form: k (1 − e^(−(t − θ)/τ)), and its level held."""
    time = np.arange(wait + POWERED + hold + 1.0)
    heated = np.clip(time - wait - DEAD, 0.0, POWERED)
    warmer = GAIN * (1.0 - np.exp(-heated / CONSTANT))
    level = 1.0 - np.exp(-POWERED / CONSTANT)
    duty = np.where(time < wait, 0.0, np.where(time < wait + POWERED, 1.0, level))
    read = AMBIENT + warmer + np.random.default_rng(0).normal(0.0, noise, len(time))
    lines = map("{:.0f},{:.2f},{:.5f}".format, time, read, duty)
    path.write_text("time (s),temperature (°C),duty\n" + "\n".join(lines) + "\n", encoding="utf-8")
    return read_heatup(path)


@pytest.mark.parametrize(
    ("hold", "wait"),
    [(0, 4), (1 * HOUR, 4), (3 * HOUR, 4), (6 * HOUR, 4), (12 * HOUR, 4), (999_434, 4), (0, 6 * HOUR)],
)
def test_a_hold_changes_nothing(tmp_path: Path, hold: int, wait: int) -> None:
    """Within 2 %, and half a second of the dead time, up to a million rows."""
    run = run_of(tmp_path / "run.csv", hold=hold, wait=wait)
    found = fit_heater(tmp_path / "run.csv", run)
    assert found.plant.gain == pytest.approx(GAIN, rel=0.02)
    assert found.plant.time_constant == pytest.approx(CONSTANT, rel=0.02)
    assert found.plant.dead_time == pytest.approx(DEAD, abs=0.5)
    assert found.ambient == pytest.approx(AMBIENT, abs=0.3)
    assert found.top == pytest.approx(AMBIENT + GAIN * (1.0 - np.exp(-POWERED / CONSTANT)), abs=1.0)
    assert not found.rough
    assert run.step == pytest.approx(1.0, rel=0.01)
    is_long = wait + POWERED + hold > POINTS_AT_MOST
    assert ["are looked at" in one for one in run.notes] == [True] * is_long


def test_a_gap_in_what_is_left_out_is_none(tmp_path: Path) -> None:
    path = tmp_path / "run.csv"
    run_of(path, hold=6 * HOUR)
    lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
    path.write_text("".join(lines[:15_000] + lines[15_300:]), encoding="utf-8")
    assert read_heatup(path).gap == 0.0
    path.write_text("".join(lines[:300] + lines[420:]), encoding="utf-8")
    assert read_heatup(path).gap == 121.0


@pytest.mark.parametrize(
    ("kept", "whole", "told"),
    [
        (60.0, 100.0, "60 s of 100 s"),
        (3000.0, 5000.0, "50 min of 83.3 min"),
        (3000.0, 21600.0, "50 min of 6 h"),
    ],
)
def test_what_was_left_out_is_told(kept: float, whole: float, told: str) -> None:
    assert cut_note(kept, whole).startswith(f"{told} are looked at")
