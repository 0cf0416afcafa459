"""``measure belts``: two recordings to words, a record, JSON and a picture; and what is refused."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import numpy as np
import pytest
from evidence.simulated import ringing, write_run

from cli.conftest import Runs
from cli.measuring import machine, refused


@pytest.fixture(autouse=True)
def two_belts(here: Path) -> None:
    machine(here)
    for name, frequency, seed in (("a", 80.0, 1), ("b", 76.0, 2)):
        write_run(here / f"{name}.csv", {"x": ringing(frequency, seed=seed, sweep=True)})


def test_one_belt_is_looser(run: Runs, here: Path) -> None:
    ran = run("measure", "belts", "a.csv", "b.csv", "--instrument", "a coin of a sensor")
    assert ran.status == 0
    told = " ".join(ran.out.split())
    assert told.startswith("The belts are ")
    assert (
        "Belt B is looser: its tension is about 10 % below that of belt A, if both spans are equally long."
        in told
    )
    assert "common practice, no source" in told
    assert "no proof that a machine is safe" in told
    (record,) = (here / "evidence").iterdir()
    kept = tomllib.loads(record.read_text(encoding="utf-8"))
    assert (kept["kind"], kept["part"]) == ("belts", "belts")
    values = {one["name"]: one["value"] for one in kept["result"]}
    assert values["tension ratio"] == pytest.approx((80 / 76) ** 2, rel=0.02)
    assert [one["name"] for one in kept["raw"]] == ["a.csv", "b.csv"]


def test_the_same_file_twice(run: Runs, here: Path) -> None:
    (here / "copy.csv").write_bytes((here / "a.csv").read_bytes())
    for other in ("a.csv", "copy.csv"):
        told = refused(run, here, "belts", "a.csv", other)
        assert f"a.csv and {other}: A and B are the same recording: name one of each belt" in told


def test_a_sweep_that_was_cut_below_the_peak(run: Runs, here: Path) -> None:
    """5 to 200 Hz in 30 s: after 10 s it is at 70 Hz, short of the 80 at which the belt rings."""
    whole = ringing(80.0, seconds=30.0, seed=1, sweep=True)
    write_run(here / "whole.csv", {"x": whole})
    write_run(here / "cut.csv", {"x": whole[: 10 * 1600]})
    told = " ".join(run("measure", "belts", "whole.csv", "cut.csv").out.split())
    assert told.startswith("Doubtful: the belts seem ")
    assert "B: it shakes most at " in told
    assert "is looser" not in told


def test_a_recording_with_something_missing(run: Runs, here: Path) -> None:
    """A gap of 1 s where the sweep of 5 to 200 Hz in 8 s passes 76 Hz; and who believes it sees what for."""
    lines = (here / "b.csv").read_text(encoding="utf-8").splitlines(keepends=True)
    (here / "gap.csv").write_text("".join(lines[:4000] + lines[5600:]), encoding="utf-8")
    told = " ".join(run("measure", "belts", "a.csv", "gap.csv", "--plot", "p.svg").out.split())
    assert told.startswith("Doubtful: the belts seem ")
    assert "B: a gap of 1 s while it was shaken took" in told
    assert "→ Judge no belt by this: see that the instrument loses no samples on their way" in told
    assert "is looser" not in told
    assert "Doubtful: " in (here / "p.svg").read_text(encoding="utf-8")
    (record,) = (here / "evidence").iterdir()
    (doubt,) = tomllib.loads(record.read_text(encoding="utf-8"))["doubts"]
    assert doubt.startswith("B: a gap of 1 s while")
    report = json.loads(run("measure", "belts", "a.csv", "gap.csv", "--format", "json", "--dry-run").out)
    assert (report["looser"], report["doubts"]) == (None, [doubt])


def test_json_and_picture(run: Runs, here: Path) -> None:
    ran = run("measure", "belts", "a.csv", "b.csv", "--dry-run", "--format", "json", "--plot", "p.svg")
    report = json.loads(ran.out)
    assert (report["schema"], report["looser"], report["record"]) == (1, "B", None)
    assert [one["file"] for one in report["belts"]] == ["a.csv", "b.csv"]
    first = (here / "p.svg").read_bytes()
    run("measure", "belts", "a.csv", "b.csv", "--dry-run", "--plot", "p.svg")
    assert (here / "p.svg").read_bytes() == first
    for words in (b"frequency in Hz", b"belt A, peak at", b"alike"):
        assert words in first


def test_three_directions(run: Runs, here: Path) -> None:
    for name, seed in (("three.csv", 0), ("four.csv", 1)):
        signals = {"x": 0.1 * ringing(60, seed=seed), "y": ringing(80, seed=seed), "z": 0.1 * ringing(90)}
        write_run(here / name, signals)
    told = " ".join(run("measure", "belts", "three.csv", "four.csv", "--dry-run").out.split())
    assert "The acceleration of y is compared, which has most of the energy." in told
    told = " ".join(run("measure", "belts", "three.csv", "four.csv", "--dry-run", "--axis", "X").out.split())
    assert "peak A 60." in told or "peak A 59." in told


def test_what_is_refused(run: Runs, here: Path) -> None:
    assert "no acceleration of q" in refused(run, here, "belts", "a.csv", "b.csv", "--axis", "q")
    assert "none.csv is no file" in refused(run, here, "belts", "a.csv", "none.csv")
    assert "p.gif" in refused(run, here, "belts", "a.csv", "b.csv", "--plot", "p.gif")
    assert "no/p.svg cannot be written" in refused(run, here, "belts", "a.csv", "b.csv", "--plot", "no/p.svg")
    write_run(here / "still.csv", {"x": np.zeros(4000)})
    assert "still.csv" in refused(run, here, "belts", "a.csv", "still.csv")
    write_run(here / "faint.csv", {"x": ringing(80) * 1e-4})
    assert "faint.csv is silent" in refused(run, here, "belts", "a.csv", "faint.csv")
    (here / "cut.csv").write_bytes((here / "a.csv").read_bytes()[:70_000] + b"\n12")
    assert "cut.csv:" in refused(run, here, "belts", "cut.csv", "b.csv")
