"""What is said below a measurement: that its recording was kept before, and what is not watched."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from evidence.simulated import ringing, write_run

from cli.conftest import Runs
from cli.measuring import refused
from cli.program import contents, write

MACHINE = """\
[mover x]
axis = x
full steps = 200
pulley teeth = 20
steps per mm = 80
[mover y]
axis = y
full steps = 200
[probe]
signal = PC1
grumble = 3
"""
NOT_WATCHED = "Not understood, so not watched: [mover x] pulley teeth"


@pytest.fixture
def x_kept(run: Runs, here: Path) -> str:
    """The file of a first record of x."""
    write(here, {"machine.ini": MACHINE, "cfgaudit.toml": '[roles]\n"mover x:steps per mm" = "none"\n'})
    write_run(here / "x0.csv", {"x": ringing(48.5, 0.05, seconds=30.0, sweep=True)})
    ran = run("measure", "resonance", "x0.csv", "--axis", "x", columns=120)
    assert (ran.status, ran.err) == (0, "")
    assert "kept before" not in ran.out
    assert NOT_WATCHED in ran.out
    assert "steps per mm" not in ran.out
    (record,) = (here / "evidence").iterdir()
    return f"evidence/{record.name}"


def test_the_same_recording_again(run: Runs, here: Path, x_kept: str) -> None:
    command = ("measure", "resonance", "x0.csv", "--axis", "x")
    for more, file in ((["--dry-run"], x_kept), ([], x_kept), ([], x_kept.replace(".toml", ".2.toml"))):
        ran = run(*command, *more, columns=120)
        assert (ran.status, ran.err) == (0, "")
        assert ran.out.count(f"x0.csv was kept before, in {file}: it counts once.\n") == 1
    x_kept = x_kept.replace(".toml", ".3.toml")
    told = refused(run, here, "resonance", "x0.csv", "--axis", "y")
    assert f"x0.csv was kept as resonance of axis x, in {x_kept}: record each axis for itself" in told


def test_what_is_not_watched_and_changed(run: Runs, here: Path, x_kept: str) -> None:
    page = run("evidence", "show", x_kept, columns=120).out
    assert page.endswith(f"\n\n{NOT_WATCHED}\n")
    write(here, {"machine.ini": MACHINE.replace("teeth = 20", "teeth = 16")})
    page = run("evidence", "show", x_kept, columns=120).out
    assert page.endswith(f"\n\nChanged since, and not understood: [mover x] pulley teeth\n{NOT_WATCHED}\n")
    write(here, {"machine.ini": "[heater bed]\ndrive = PD12\n"})
    assert "not watched" not in run("evidence", "show", x_kept, columns=120).out


def test_readings_again(run: Runs, here: Path) -> None:
    write(here, {"machine.ini": MACHINE, "r.txt": "0.01\n0.012\n0.009\n0.011\n0.01\n"})
    first = run("measure", "repeatability", "r.txt", columns=120)
    assert first.out.endswith("Not understood, so not watched: [probe] grumble\n")
    again = run("measure", "repeatability", "-", stdin=(here / "r.txt").read_bytes(), columns=120)
    assert (again.status, again.err) == (0, "")
    assert " was kept before, in evidence/" in again.out
    before = contents(here)
    told = json.loads(run("measure", "repeatability", "r.txt", "--dry-run", "--format", "json").out)
    assert told["record"] is None
    assert contents(here) == before
