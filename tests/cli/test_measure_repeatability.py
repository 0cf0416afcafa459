"""``measure repeatability``: from a file or standard input to words, a record, JSON; and what is refused."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import pytest

from cfgaudit.report.repeatability import cases
from cli.conftest import Runs
from cli.measuring import MACHINE, machine, refused

GOOD = "".join(f"{1.8524 + offset / 10000}\n" for offset in (-8, 3, 11, -4, 0, 9, -12, 5, -3, 6))
"""Σd² = 505 and Σd = 7 (10⁻⁴ mm), so s = √((505 − 4.9) ÷ 9) = 7.454: an ordinary good result (no source)."""


@pytest.fixture(autouse=True)
def small_machine(here: Path) -> None:
    machine(here)


def test_a_good_probe(run: Runs, here: Path) -> None:
    (here / "r.txt").write_text(GOOD)
    ran = run("measure", "repeatability", "r.txt", "--conditions", "warm")
    assert ran.status == 0
    first, *rest = ran.out.splitlines()
    assert first == "Probe repeats within 0.000745 mm (standard deviation of 10 readings)"
    told = " ".join(" ".join(rest).split())
    assert "an ordinary good result" in told
    assert "common practice, no source" in told
    assert "All readings lie within the tolerance of 0.006 mm." in told
    assert "finer than one Z step of 0.00125 mm" in told
    (record,) = (here / "evidence").iterdir()
    assert f"evidence/{record.name} is written." in told
    kept = tomllib.loads(record.read_text(encoding="utf-8"))
    assert (kept["kind"], kept["part"], kept["conditions"]) == ("repeatability", "probe", "warm")
    assert [one["name"] for one in kept["result"]] == ["mean", "standard deviation", "range", "drift"]
    assert kept["raw"][0]["name"] == "r.txt"


def test_standard_input(run: Runs, here: Path) -> None:
    ran = run("measure", "repeatability", "-", "--dry-run", stdin=GOOD.encode())
    assert ran.status == 0
    assert "No record is written (--dry-run)." in ran.out
    assert not (here / "evidence").exists()


def test_json(run: Runs, here: Path) -> None:
    ran = run("measure", "repeatability", "-", "--format", "json", stdin=b"try,z\n1,1.5\n2,1.5\n3,1.5\n")
    assert ran.status == 2
    ran = run(
        "measure",
        "repeatability",
        "-",
        "--column",
        "z",
        "--format",
        "json",
        stdin=b"try,z\n1,1.5\n2,1.5\n3,1.5\n",
    )
    report = json.loads(ran.out)
    assert (report["schema"], report["readings"], report["standard_deviation"]) == (1, 3, 0.0)
    assert report["settings"] == {"step": 0.00125, "tolerance": 0.006, "touches": 3}
    assert (here / report["record"]).is_file()


def test_equal_readings_are_fine(run: Runs, here: Path) -> None:
    ran = run("measure", "repeatability", "-", stdin=b"1.5\n" * 5)
    assert ran.status == 0
    assert "All 5 readings of probe are equal" in ran.out
    assert "The spread is 0" in ran.out


def test_equal_readings_have_no_bounds_and_no_drift(run: Runs, here: Path) -> None:
    out = run("measure", "repeatability", "-", "--dry-run", stdin=b"1.5\n" * 5).out
    assert "the true one lies" not in out
    assert "drift" not in out


def test_few_readings_say_nothing_of_drift(run: Runs, here: Path) -> None:
    """Four that rise: chance orders four in a row up or down in 2 of 24 cases."""
    rising = "".join(f"{1.85 + at * 0.0005:.4f}\n" for at in range(5))
    four = run("measure", "repeatability", "-", "--dry-run", stdin=rising[:-7].encode()).out
    assert "readings            4" in four
    assert "drift" not in four
    out = " ".join(run("measure", "repeatability", "-", "--dry-run", stdin=rising.encode()).out.split())
    assert "which chance alone makes in less than 1 of 1000 cases" in out
    assert "(p < 0.001)" in out


@pytest.mark.parametrize(
    ("chance", "told"),
    [(0.0, "less than 1 of 1000 cases"), (0.004, "4 of 1000 cases"), (0.0314, "3 of 100 cases")],
)
def test_how_often_chance_makes_it(chance: float, told: str) -> None:
    assert cases(chance) == told


def test_what_fails_comes_before_what_is_fair(run: Runs, here: Path) -> None:
    """Sets of three span 8, 9, 9, 8, 7, 8, 6 and 6 µm, by hand; 6 µm are tolerated."""
    data = "\n".join(str(1.85 + at / 1000) for at in (0, 2, 8, -1, 0, 7, 1, -1, 5, 0)).encode()
    lines = run("measure", "repeatability", "-", "--dry-run", stdin=data).out.splitlines()
    told = " ".join(line.strip() for line in lines[1:])
    assert told.startswith(
        "→ The readings span 0.009 mm, the tolerance is 0.006 mm: of the 8 sets of 3 in a row"
    )
    assert "as the probe touches a place, 6 span more. → The spread itself is fair" in told
    assert told.count("tolerance is") == 1


def test_a_spread_on_the_bound_is_called_by_the_better_name(run: Runs, here: Path) -> None:
    """1.500, 1.501 and 1.502 mm: s = √((1 + 0 + 1) ÷ 2) = 1 µm, but for a rounding."""
    out = run("measure", "repeatability", "-", "--dry-run", stdin=b"1.5\n1.501\n1.502\n").out
    assert "That is an ordinary good result" in out


def test_two_readings_are_few(run: Runs, here: Path) -> None:
    """1.8500 and 1.8510: s = 0.000707, and χ²(0.025; 1) = 0.000982 by tables: up to 0.0226 mm."""
    ran = run("measure", "repeatability", "-", "--dry-run", stdin=b"1.8500\n1.8510\n")
    told = " ".join(ran.out.split())
    assert "But 2 readings are few: the true spread may be as large as 0.0226 mm." in told
    assert "Probe the same place 10 times or more." in told


def test_a_drift_is_told_in_micrometres(run: Runs, here: Path) -> None:
    """Slope by hand: Σ(x − 4.5)(y − ȳ) ÷ 82.5 of a drift of 0.00002 mm a reading is 0.02 µm."""
    readings = "".join(f"{1.85 + at * 0.00002:.5f}\n" for at in range(10))
    out = run("measure", "repeatability", "-", "--dry-run", stdin=readings.encode()).out
    assert "+0.02 µm a reading" in out


def test_drift_and_outliers_are_told(run: Runs, here: Path) -> None:
    drifting = "".join(f"{1.85 + at * 0.0005}\n" for at in range(10))
    told = " ".join(run("measure", "repeatability", "-", "--dry-run", stdin=drifting.encode()).out.split())
    assert "drift by +0.0045 mm from the first to the last" in told
    odd = " ".join(
        run("measure", "repeatability", "-", "--dry-run", stdin=(GOOD + "1.9\n").encode()).out.split()
    )
    assert "Reading 11 lies far off" in odd
    assert "of the 9 sets of 3 in a row, as the probe touches a place, 1 spans more" in odd


def test_several_probes(run: Runs, here: Path) -> None:
    machine(here, MACHINE + "\n[probe second]\nsignal = PC2\noffset x = 20\ntolerance = 0.02 mm\n")
    assert "--probe which of probe, probe second" in refused(
        run, here, "repeatability", "-", stdin=GOOD.encode()
    )
    ran = run("measure", "repeatability", "-", "--probe", "second", stdin=GOOD.encode())
    assert "within the tolerance of 0.02 mm" in ran.out
    assert 'part = "probe second"' in next((here / "evidence").iterdir()).read_text(encoding="utf-8")


def test_a_machine_without_a_probe(run: Runs, here: Path) -> None:
    machine(here, "[axis x]\ntravel = 200\n")
    ran = run("measure", "repeatability", "-", stdin=GOOD.encode())
    assert ran.status == 0
    assert "No tolerance is configured" in ran.out
    assert "one step of Z is cannot be told" in " ".join(ran.out.split())


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (b"", "standard input is empty"),
        (b"1.5\n", "one reading"),
        (b"1.5\nx\n", "standard input:2:"),
        (b"1.5\nnan\n", "standard input:2:"),
        (b"inf\n1.5\n", "standard input:1:"),
        (b"\0\0", "is no text"),
        (b"1852.1\n1852.9\n", "give the readings in mm"),
        (b"a,b\n1,2\n", "say with --column"),
    ],
)
def test_bad_readings(run: Runs, here: Path, text: bytes, said: str) -> None:
    assert said in refused(run, here, "repeatability", "-", stdin=text)


def test_bad_files_and_names(run: Runs, here: Path) -> None:
    (here / "empty.txt").touch()
    assert "empty.txt is empty" in refused(run, here, "repeatability", "empty.txt")
    assert "nowhere.txt is no file" in refused(run, here, "repeatability", "nowhere.txt")
    assert ". is a folder: name the file" in refused(run, here, "repeatability", ".")
    good = GOOD.encode()
    assert "no probe third" in refused(run, here, "repeatability", "-", "--probe", "third", stdin=good)
    assert 'no column "7"' in refused(run, here, "repeatability", "-", "--column", "7", stdin=good)
