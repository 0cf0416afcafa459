"""``facts``: the list with limits and room, and one fact worked out."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from cli.conftest import Runs
from cli.program import write

MAIN = (
    "[axis x]\nfull steps = 200\nmicrosteps = 16\ntravel per turn = 40\nhome speed = 40\nacceleration = 800\n"
)


@pytest.fixture(autouse=True)
def machine(here: Path) -> None:
    write(here, {"m/main.ini": MAIN})


def test_the_list_tells_limits_and_room(run: Runs) -> None:
    """Stopping from 40 mm/s at 800 mm/s² takes 1 mm (mechanics); no switch has 10 mm behind it (practice)."""
    told = " ".join(run("facts", "m").out.split())
    assert "home stop distance 1 mm from home speed 40, acceleration 800 at most 10 mm, room 9 mm" in told


def test_limits_of_the_project_count(run: Runs, here: Path) -> None:
    write(here, {"m/cfgaudit.toml": '[limits]\n"home-overrun.usual_room" = 4\n'})
    assert "at most 4 mm, room 3 mm" in " ".join(run("facts", "m").out.split())
    write(here, {"m/cfgaudit.toml": '[rules]\nhome-overrun = "off"\n'})
    assert "at most" not in run("facts", "m").out


def test_one_fact_is_worked_out(run: Runs) -> None:
    """Common practice, no source: 200 steps, 16 microsteps, 40 mm a turn are 80 steps a millimetre."""
    ran = run("facts", "m", "--explain", "axis.x.steps_per_mm")
    assert ran.status == 0
    assert "= 200 × 16 × 1 ÷ 40 mm = 80 per mm" in ran.out
    assert "main.ini:4" in ran.out
    assert "common practice, no source" in ran.out
    form = json.loads(run("facts", "m", "--explain", "axis.x.steps_per_mm", "--format", "json").out)
    (fact,) = form["facts"]
    assert fact["formula"] == "full steps × microsteps × gear ratio ÷ travel per turn"
    assert {one["symbol"]: one["value"] for one in fact["terms"]} == {
        "full steps": 200,
        "microsteps": 16,
        "gear ratio": 1,
        "travel per turn": 40,
    }


def test_several_facts_are_worked_out(run: Runs) -> None:
    out = run("facts", "m", "--explain", "axis.x.step*").out
    assert out.index("axis x: steps per mm") < out.index("axis x: step size")


def test_a_fact_that_there_is_not(run: Runs) -> None:
    ran = run("facts", "m", "--explain", "axis.x.step_sise")
    assert ran.status == 2
    assert ran.out == ""
    assert ran.err == (
        "cfgaudit: there is no fact axis.x.step_sise here: did you mean axis.x.step_size? "
        "cfgaudit facts lists them\n"
    )
