"""``measure resonance``: a recording to words, a record, JSON and a picture; and what is refused."""

from __future__ import annotations

import hashlib
import json
import subprocess
import sys
import tomllib
from pathlib import Path

import numpy as np
import pytest
from evidence.simulated import ringing, write_run
from evidence.tables import rows

from cli.conftest import Runs
from cli.measuring import machine, refused
from cli.program import contents, environment

MACHINE = """\
[axis x]
full steps = 200
microsteps = 16
travel per turn = 40 mm
top acceleration = 5000 mm/s²

[shaper x]
kind = MZV
frequency = 61.3 Hz
damping ratio = 0.07

[axis y]
full steps = 200
microsteps = 16
travel per turn = 40 mm
"""


@pytest.fixture(autouse=True)
def shaken(here: Path) -> None:
    machine(here, MACHINE)
    write_run(here / "x.csv", {"x": ringing(48.5, 0.05, seconds=30.0, sweep=True)})


def test_a_run_becomes_words_and_a_record(run: Runs, here: Path) -> None:
    ran = run(
        "measure",
        "resonance",
        "x.csv",
        "--axis",
        "X",
        "--instrument",
        "a coin of a sensor",
        "--note",
        "quiet",
    )
    assert (ran.status, ran.err) == (0, "")
    told = " ".join(ran.out.split())
    assert told.startswith("Axis x rings at 48.5 Hz with a damping ratio of 0.050 ")
    assert "rounds: a full reversal at 5000 mm/s², as configured" in told
    assert "MZV at 61.3 Hz, as configured, leaves" in told
    assert "no proof that a machine is safe" in told
    (record,) = (here / "evidence").iterdir()
    assert f"evidence/{record.name} is written." in told
    kept = tomllib.loads(record.read_text(encoding="utf-8"))
    assert (kept["kind"], kept["part"]) == ("resonance", "axis x")
    assert (kept["instrument"], kept["note"]) == ("a coin of a sensor", "quiet")
    values = {one["name"]: one["value"] for one in kept["result"]}
    assert values["natural frequency"] == pytest.approx(48.5, rel=0.01)
    assert values["damping"] == pytest.approx(0.05, rel=0.15)
    assert {"remaining vibration", "acceleration ceiling"} <= set(values)
    digest = hashlib.sha256((here / "x.csv").read_bytes()).hexdigest()
    assert kept["raw"] == [{"name": "x.csv", "sha256": digest}]


def test_a_dry_run_writes_nothing(run: Runs, here: Path) -> None:
    before = contents(here)
    ran = run("measure", "resonance", "x.csv", "--axis", "y", "--dry-run")
    assert ran.status == 0
    assert "No record is written (--dry-run)." in ran.out
    assert "taken as that of y" in ran.out
    assert contents(here) == before


def test_a_damping_that_is_not_written_is_told(run: Runs, here: Path) -> None:
    asked = ("measure", "resonance", "x.csv", "--axis", "x", "--dry-run")
    assert "no damping ratio is written" not in run(*asked).out.casefold()
    machine(here, MACHINE.replace("damping ratio = 0.07\n", ""))
    told = " ".join(run(*asked).out.split())
    assert "No damping ratio is written for the configured shaper, and it is computed with 0." in told


@pytest.mark.parametrize("harm", ["gap", "clipped"])
def test_a_doubtful_recording(run: Runs, here: Path, harm: str) -> None:
    """Said first, with no shaper to take; kept, so that no rule is held against the record."""
    signal = ringing(48.5, 0.05, seconds=30.0, sweep=True)
    if harm == "clipped":
        signal = np.clip(signal, *(0.5 * np.array([signal.min(), signal.max()])))
    write_run(here / "bad.csv", {"x": signal})
    lines = (here / "bad.csv").read_text(encoding="utf-8").splitlines(keepends=True)
    rings = round(1600.0 * 30.0 * (48.5 - 5.0) / 195.0)
    if harm == "gap":
        (here / "bad.csv").write_text("".join(lines[:rings] + lines[rings + 1600 :]), encoding="utf-8")
    ran = run("measure", "resonance", "bad.csv", "--axis", "x", "--plot", "p.svg")
    told = " ".join(ran.out.split())
    assert ran.status == 0
    assert told.startswith("Doubtful: axis x seems to ring at ")
    why = {"gap": "a gap of 1 s while it was shaken took", "clipped": "x is clipped: it went beyond"}[harm]
    assert f"{why[:1].upper()}{why[1:]}" in told
    assert "→ Take no shaper from this: " in told
    assert "recommended" not in told
    picture = (here / "p.svg").read_text(encoding="utf-8")
    assert "Doubtful: axis x seems to ring at" in picture
    assert "recommended" not in picture
    (record,) = (here / "evidence").iterdir()
    (doubt,) = tomllib.loads(record.read_text(encoding="utf-8"))["doubts"]
    assert doubt.startswith(why)
    report = json.loads(
        run("measure", "resonance", "bad.csv", "--axis", "x", "--dry-run", "--format", "json").out
    )
    assert (report["doubts"], report["recommended"], report["advice"]) == ([doubt], None, "")
    assert "shaper-off-resonance" not in run("check").out


def test_json(run: Runs) -> None:
    ran = run("measure", "resonance", "x.csv", "--axis", "x", "--dry-run", "--format", "json")
    report = json.loads(ran.out)
    assert (report["schema"], report["axis"], report["record"]) == (1, "x", None)
    assert report["modes"][0]["frequency"] == pytest.approx(48.5, rel=0.01)
    assert report["asked"] == {"acceleration": 5000.0, "budget": 0.1, "leaves": 0.1}


def test_what_is_asked_of_a_shaper(run: Runs) -> None:
    asked = ("--budget", "0.2", "--leaves", "1", "--format", "json", "--dry-run")
    report = json.loads(run("measure", "resonance", "x.csv", "--axis", "x", *asked).out)
    assert report["asked"] == {"acceleration": 5000.0, "budget": 0.2, "leaves": 0.01}
    assert report["recommended"]["remains"] <= 0.01


def test_a_record_keeps_the_acceleration_of_the_usual_budget(run: Runs, here: Path) -> None:
    """What one run asked for is not written in a record, and another record is held against it."""
    kept, said = [], []
    for asked in ((), ("--budget", "0.2")):
        said.append(" ".join(run("measure", "resonance", "x.csv", "--axis", "x", *asked).out.split()))
        newest = max((here / "evidence").iterdir(), key=lambda one: one.stat().st_mtime_ns)
        kept.append(tomllib.loads(newest.read_text(encoding="utf-8"))["result"])
    assert kept[0] == kept[1]
    for told in said:
        assert "is what MZV allows at its best frequency within 0.1 mm, whatever is set now" in told


def test_columns(run: Runs, here: Path) -> None:
    (here / "odd.csv").write_bytes(
        (here / "x.csv").read_bytes().replace(b"time (s),x (mm/s\xc2\xb2)", b"u,v")
    )
    assert "no column is called time" in refused(run, here, "resonance", "odd.csv", "--axis", "x")
    for names in ("u,v", "1,2", "u, 2"):
        ran = run("measure", "resonance", "odd.csv", "--axis", "x", "--columns", names, "--dry-run")
        assert "Axis x rings at 48.5 Hz" in ran.out


@pytest.mark.parametrize("suffix", ["svg", "png"])
def test_a_picture(run: Runs, here: Path, suffix: str) -> None:
    ran = run("measure", "resonance", "x.csv", "--axis", "x", "--dry-run", "--plot", f"p.{suffix}")
    assert f"p.{suffix} is drawn." in ran.out
    first = (here / f"p.{suffix}").read_bytes()
    run("measure", "resonance", "x.csv", "--axis", "x", "--dry-run", "--plot", f"p.{suffix}")
    assert (here / f"p.{suffix}").read_bytes() == first


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("none.csv", "--axis", "x"), "none.csv is no file"),
        ((".", "--axis", "x"), ". is a folder"),
        (("x.csv", "--axis", "q"), "this machine has no axis q: it has x, y"),
        (("x.csv", "--axis", ""), "this machine has no axis without a name"),
        (("x.csv",), "missing option '--axis'"),
        (("--axis", "x"), "missing argument"),
        (("x.csv", "--axis", "x", "--columns", "a,b"), 'x.csv has no column "a": it has time (s), x (mm/s²)'),
        (("x.csv", "--axis", "x", "--plot", "p.gif"), "p.gif: pictures are made as .svg or .png"),
        (("x.csv", "--axis", "x", "--plot", "no/p.svg"), "no/p.svg cannot be written"),
        (("x.csv", "--axis", "x", "--budget", "0"), "--budget 0: give mm, above 0 and at most 10"),
        (("x.csv", "--axis", "x", "--budget", "nan"), "--budget nan: give mm"),
        (("x.csv", "--axis", "x", "--leaves", "100"), "--leaves 100: give per cent, above 0 and below 100"),
        (("x.csv", "--axis", "x", "--leaves", "little"), "invalid value for '--leaves'"),
    ],
)
def test_wrong_usage(run: Runs, here: Path, arguments: tuple[str, ...], told: str) -> None:
    assert told.casefold() in refused(run, here, "resonance", *arguments).casefold()


HEADER = "time (s),x,y,z\n"
GOOD = HEADER + "\n".join(rows()) + "\n"
FILES = {
    "empty": (b"", "is empty"),
    "only a header": (HEADER.encode(), "holds no row of numbers"),
    "one sample": ((HEADER + rows()[0]).encode(), "has one sample, 256 are the least"),
    "cut off": (GOOD[:-12].encode(), "run.csv:401: 3 cells, 4 in the rows above: the file seems cut off"),
    "a word": ((GOOD + "a,b,c,d").encode(), 'run.csv:402: "a" is no number'),
    "no number": ((GOOD + "1,nan,0,0").encode(), "run.csv:402: a cell is no finite number"),
    "constant": ((HEADER + "".join(f"{at / 999},1,2,3\n" for at in range(400))).encode(), "nothing moves"),
    "too many": (HEADER.encode() + b"1,2,3,4\n" * 10_000_000, "has more than 5,000,000 rows"),
    "other columns": (b"when,what\n" + b"1,2\n" * 400, "no column is called time"),
    "back in time": ((GOOD + "0.01,1,2,3").encode(), "run.csv:402: the time goes back"),
    "standing time": ((GOOD + rows()[-1]).encode(), "run.csv:402: the time stands still"),
    "mixed units": (
        b"time,x (g),y (m/s2),z (g)\n" + "\n".join(rows()).encode(),
        "different units (g, m/s2, g)",
    ),
    "another unit": (b"time,x (ft),y (ft),z (ft)\n" + "\n".join(rows()).encode(), '"ft" is no unit of accel'),
    "commas": (
        (HEADER + '"0,5","1","2","3"\n').encode(),
        'run.csv:2: "0,5" has a decimal comma: save the table with points for all decimals, or with',
    ),
    "bytes": (bytes(range(256)) * 40, "is no text"),
    "other text": (GOOD.encode("utf-16"), "is written in UTF-16"),
    "negative": ((HEADER + "\n".join(rows(step=-0.001))).encode(), "run.csv:3: the time goes back"),
    "too slow": ((HEADER + "\n".join(rows(step=0.02))).encode(), "has 50 samples a second, of use are 200"),
    "twice": (b"time,x,y,y\n" + "\n".join(rows()).encode(), 'two columns are called "y"'),
    "nothing rings": (GOOD.encode(), "nothing rings between 5 and 300 Hz"),
}


@pytest.mark.parametrize("case", FILES)
def test_files_that_cannot_be_used(run: Runs, here: Path, case: str) -> None:
    """One line that names the file, exit status 2, and no record."""
    data, told = FILES[case]
    (here / "run.csv").write_bytes(data)
    line = refused(run, here, "resonance", "run.csv", "--axis", "x")
    assert "run.csv" in line
    assert told in line


WITHOUT = """
import sys
sys.modules[sys.argv[1]] = None
del sys.argv[1]
from cfgaudit.cli.main import main
main()
"""


@pytest.mark.parametrize(
    ("missing", "more", "told"),
    [
        ("numpy", (), "measuring needs numpy: pip install 'cfgaudit[measure]'"),
        ("scipy", (), "measuring needs scipy: pip install 'cfgaudit[measure]'"),
        ("matplotlib", ("--plot", "p.svg"), "pictures need matplotlib: pip install 'cfgaudit[measure]'"),
    ],
)
def test_without_the_extra(here: Path, missing: str, more: tuple[str, ...], told: str) -> None:
    before = contents(here)
    done = subprocess.run(
        [sys.executable, "-c", WITHOUT, missing, "measure", "resonance", "x.csv", "--axis", "x", *more],
        cwd=here,
        env=environment({"XDG_CACHE_HOME": str(here.parent)}),
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stdout, done.stderr) == (2, "", f"cfgaudit: {told}\n")
    assert contents(here) == before


def test_matplotlib_is_for_pictures_alone(run: Runs, here: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", WITHOUT, "matplotlib", "measure", "resonance", "x.csv", "--axis", "x"],
        cwd=here,
        env=environment({"XDG_CACHE_HOME": str(here.parent)}),
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0
    assert "Axis x rings at 48.5 Hz" in done.stdout


def test_three_directions(run: Runs, here: Path) -> None:
    other = np.random.default_rng(0).normal(size=48_000)
    write_run(here / "three.csv", {"x": 100 * other, "y": ringing(80.0, seconds=30.0), "z": other})
    told = run("measure", "resonance", "three.csv", "--axis", "y", "--dry-run").out
    assert "Axis y rings at 80" in told or "Axis y rings at 79" in told
    assert "three.csv: nothing rings" in refused(run, here, "resonance", "three.csv", "--axis", "x")
