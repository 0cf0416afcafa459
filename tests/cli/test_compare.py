"""``compare``: from a real small repository and records to verdicts."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from xml.etree import ElementTree

import pytest

from cli.conftest import Runs
from cli.program import contents, process, write
from cli.test_bad_input import refuse

Git = Callable[..., str]
MAIN = """\
[x axis]
top acceleration = 3000 mm/s²
lowest = 0 mm
highest = 400 mm

[motor x]
moves = x
run current = 0.8 A

[lamp]
brightness = 40 %
"""
OLD, NEW = "good/2026-10-01", "good/2026-11-01"


def record(day: str, name: str, value: float, more: str = "", kind: str = "value", part: str = "") -> str:
    """A record's file; ``more`` belongs to its result."""
    settings = day[:2]  # those of September are one set, those of October another
    unit = "Hz" if name == "natural frequency" else "min"
    return (
        f'form = 1\nkind = "{kind}"\npart = "{part or name}"\ndate = 2026-{day}T12:00:00Z\n'
        f'digest = "{settings}"\n\n[[result]]\nname = "{name}"\nvalue = {value}\nunit = "{unit}"\n{more}\n'
    )


def times(days: str, *values: float, more: str = "") -> dict[str, str]:
    """Records of one quantity, one a day from a month's first on."""
    return {
        f"evidence/{days}-{number}.toml": record(f"{days}-{number:02}", "print-time", value, more)
        for number, value in enumerate(values, 2)
    }


WITHOUT_SCIPY = """
from importlib.machinery import PathFinder
find = PathFinder.find_spec
PathFinder.find_spec = lambda name, *more: None if name == "scipy" else find(name, *more)
"""
BETTER = 'better = "lower"'
BEFORE = times("09", 66.5, 66.1, 66.9, more=BETTER)
AFTER = times("10", 61.5, 61.2, 61.8, more=BETTER)


@pytest.fixture
def machine(here: Path, git: Git, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Two marks, with an upgrade between them."""
    for day, acceleration, brightness in (("2026-10-01", 3000, 40), ("2026-11-01", 5000, 60)):
        for who in ("AUTHOR", "COMMITTER"):
            monkeypatch.setenv(f"GIT_{who}_DATE", f"{day}T10:00:00Z")
        text = MAIN.replace("3000", str(acceleration)).replace("40 %", f"{brightness} %")
        write(here, {"main.ini": text})
        git("add", "main.ini")
        git("commit", "-qm", "an evening's work")
        git("tag", "-m", "a vase", f"good/{day}")
    return here


def told(run: Runs, *words: str, columns: int = 80) -> str:
    ran = run("compare", *words, columns=columns)
    assert (ran.status, ran.err) == (0, ""), ran
    return " ".join(ran.out.split())


def verdicts(run: Runs, *words: str) -> dict[str, str]:
    ran = run("compare", *words, "--format", "json")
    assert (ran.status, ran.err) == (0, "")
    return {one["quantity"]: one["verdict"] for one in json.loads(ran.out)["quantities"]}


def test_an_upgrade_that_was_worth_it(run: Runs, machine: Path) -> None:
    """By hand: s = 0.4 and 0.3, error √(0.16/3 + 0.09/3) = 0.2887, ν = 3.71, t(0.975) = 2.87: ± 0.83 min."""
    write(machine, BEFORE | AFTER)
    out = told(run)
    assert f"from {OLD} (“a vase”) to {NEW} (“a vase”)" in out
    assert "Better print-time −7.5 %" in out
    assert "print-time 66.5 → 61.5 min, −5.00 ± 0.83 min, −7.5 %; 3 and 3 values" in out
    assert out.endswith("Verdicts print-time: better, −7.5 % 1 quantity: 1 better.")


def test_one_measurement_each(run: Runs, machine: Path) -> None:
    write(machine, times("09", 66.5) | times("10", 6.5))
    assert "no statement, one measurement each: print-time" in told(run)


def test_all_that_is_measured_by_the_program_itself(run: Runs, here: Path, git: Git) -> None:
    """Records of today: before the mark, and since."""
    write(here, {"main.ini": MAIN})
    git("add", ".")
    git("commit", "-qm", "first")
    assert run("measure", "value", "print-time", "66.5", "66.1", "66.9", "min").status == 0
    (here / "evidence").rename(here / "aside")
    (old,) = (here / "aside").iterdir()
    text = old.read_text().replace("date = 20", "date = 19")
    (here / "evidence").mkdir()
    write(here, {"evidence/old.toml": text})
    git("tag", "-m", "a vase", "good/2026-10-01")
    assert verdicts(run) == {"print-time": "measured before only"}
    assert run("measure", "value", "print-time", "61.5", "61.2", "61.8", "min").status == 0
    assert verdicts(run) == {"print-time": "different"}


def test_what_is_compared_where_nothing_is_named(run: Runs, machine: Path) -> None:
    """The last mark but one and the last, until something is measured after the last mark."""
    write(machine, BEFORE | AFTER)
    assert f"from {OLD} (“a vase”) to {NEW}" in told(run)
    write(machine, {"evidence/h.toml": record("11-02", "hours", 5.0, kind="hours", part="belt x")})
    assert f"from {OLD} (“a vase”) to {NEW}" in told(run), "hours are no quantity"
    write(machine, times("11", 60.0))
    out = told(run)
    assert f"from {NEW} (“a vase”) to the working tree" in out
    assert "61.5 → 60.0 min" in out


def test_one_mark_alone_is_compared_with_the_working_tree(run: Runs, machine: Path, git: Git) -> None:
    git("tag", "-d", NEW)
    write(machine, BEFORE)
    assert f"from {OLD} (“a vase”) to the working tree" in told(run)


def test_named_states(run: Runs, machine: Path) -> None:
    write(machine, BEFORE | AFTER | times("11", 50.0))
    assert "66.5 → 61.5 min" in told(run, OLD, NEW)
    assert "66.5 → 61.5 min" in told(run, "HEAD~1", "HEAD")
    assert "66.5 → 50.0 min" in told(run, OLD)
    assert "61.5 → 50.0 min" in told(run, "HEAD")


def test_changes_that_matter(run: Runs, machine: Path) -> None:
    write(machine, {"evidence/a.toml": record("10-20", "natural frequency", 60.0, "", "resonance", "axis x")})
    out = told(run)
    assert "[x axis] top acceleration 3000 mm/s² → 5000 mm/s² (+67 %)" in out
    assert "brightness" not in out
    assert f"1 more change touches nothing that was measured: cfgaudit changes {OLD} {NEW}" in out
    assert run("changes", OLD, NEW).out.count("brightness") == 1


def test_the_acceleration_stands_beside_its_ceiling(run: Runs, machine: Path) -> None:
    """3500 → 3800 mm/s² is an ordinary gain: common practice, no source."""
    name = "acceleration ceiling"
    files = {
        f"evidence/{day}-{number}.toml": record(
            f"{day}-{number:02}", name, value + number, "", "resonance", "axis x"
        )
        for day, value in (("09", 3500.0), ("10", 3800.0))
        for number in (1, 2, 3)
    }
    rings = '[[result]]\nname = "natural frequency"\nvalue = 60.0\nunit = "Hz"\n'
    write(machine, {path: text.replace('"min"', '"mm/s²"') + rings for path, text in files.items()})
    out = told(run)
    assert "axis x: 3000 → 5000 mm/s² (+67 %); measured ceiling 3502 → 3802 mm/s² (+8.6 %)" in out
    assert "axis x acceleration ceiling: better, +8.6 %" in out
    assert "worse" not in out


def test_a_stale_record_says_of_which_state_it_is(run: Runs, machine: Path) -> None:
    setting = (
        '[[setting]]\npart = "motor x"\nrole = "current.run"\naxis = "x"\nvalue = "0.6 A"\n'
        'section = "motor x"\nsetting = "run current"\n'
    )
    old = record("09-20", "natural frequency", 60.0, "", "resonance", "axis x")
    new = record("10-20", "natural frequency", 70.0, setting, "resonance", "axis x")
    new = f'commit = "{"0123456789abcdef" * 2 + "01234567"}"\n{new}'
    write(machine, {"evidence/a.toml": old, "evidence/b.toml": new})
    out = told(run)
    assert f"stale after: measured on 2026-10-20 at commit 0123456, no measurement of {NEW}: " in out
    assert "[motor x] run current was 0.6 A and is 0.8 A now" in out
    assert "no statement, one measurement each (stale): axis x natural frequency" in out
    assert "stale before" not in out


def test_a_shaper_that_was_chosen_anew_makes_only_its_results_doubtful(run: Runs, machine: Path) -> None:
    """The frequency still holds; what the shaper left was computed for one that is not there any more."""
    chosen = (
        '[[chosen]]\npart = "axis x"\nrole = "shaper.frequency"\naxis = "x"\nvalue = "61.3 Hz"\n'
        'section = "x shaper"\nsetting = "frequency"\n'
    )
    left = '[[result]]\nname = "remaining vibration"\nvalue = 0.12\nunit = "1"\n'
    old = record("09-20", "natural frequency", 60.0, left, "resonance", "axis x")
    new = record("10-20", "natural frequency", 70.0, left + chosen, "resonance", "axis x")
    write(machine, {"evidence/a.toml": old, "evidence/b.toml": new})
    out = told(run)
    assert "no statement, one measurement each: axis x natural frequency " in out
    assert "no statement, one measurement each (stale): axis x remaining vibration " in out
    assert "[x shaper] frequency was 61.3 Hz and is gone" in out
    form = json.loads(run("compare", "--format", "json").out)
    assert {one["quantity"]: bool(one["after"]["stale"]) for one in form["quantities"]} == {
        "natural frequency": False,
        "remaining vibration": True,
    }


@pytest.mark.parametrize("columns", [40, 80, 120])
def test_widths(run: Runs, machine: Path, columns: int) -> None:
    write(machine, BEFORE | AFTER)
    for line in run("compare", columns=columns).out.splitlines():
        assert len(line) <= columns


def test_json(run: Runs, machine: Path) -> None:
    write(machine, BEFORE | AFTER)
    form = json.loads(run("compare", "--format", "json").out)
    assert form["schema"] == 1
    assert (form["main"], form["from"]["label"], form["to"]["label"]) == ("main.ini", OLD, NEW)
    (one,) = form["quantities"]
    assert (one["kind"], one["part"], one["better"]) == ("value", "print-time", "lower")
    assert one["before"]["value"] == pytest.approx(66.5)
    assert one["before"]["spread"] == pytest.approx(0.4)
    assert one["before"]["records"] == ["evidence/09-4.toml", "evidence/09-3.toml", "evidence/09-2.toml"]
    assert one["after"]["samples"] == 3
    assert one["difference"] == pytest.approx(-5.0)
    assert one["test"]["of"] == "difference"
    assert one["test"]["high"] == pytest.approx(-5 + 2.87 * 0.28868, abs=0.01)
    assert form["counts"] == {"better": 1}
    assert form["other_changes"] == 2


def test_markdown(run: Runs, machine: Path) -> None:
    write(machine, {"evidence/a.toml": record("10-20", "a|b <img>", 1.0)})
    out = run("compare", "--format", "markdown").out
    assert "<img>" not in out
    (row,) = [line for line in out.splitlines() if "img" in line]
    assert row.replace("\\|", "").count("|") == 6


@pytest.mark.parametrize("suffix", ["svg", "png"])
def test_pictures(run: Runs, machine: Path, suffix: str) -> None:
    write(machine, BEFORE | AFTER | {"evidence/a.toml": record("10-20", "$\\\\frac{ 腕", 1.0)})
    assert f"Drawn in up.{suffix}." in told(run, "--plot", f"up.{suffix}")
    first = (machine / f"up.{suffix}").read_bytes()
    told(run, "--plot", f"up.{suffix}")
    assert (machine / f"up.{suffix}").read_bytes() == first
    if suffix == "svg":
        words = " ".join(ElementTree.fromstring(first).itertext())
        for part in ("Before and after", "print-time", "66.5 → 61.5 min", "better", "% of what was measured"):
            assert part in words
    else:
        assert first.startswith(b"\x89PNG")


def test_nothing_but_what_cannot_be_read(run: Runs, machine: Path) -> None:
    write(machine, {"evidence/a.toml": "form = 7\n"})
    out = told(run)
    assert "Nothing was measured on either side: cfgaudit measure --help lists what can be." in out
    assert "1 file among the evidence cannot be read as records: cfgaudit evidence tells why." in out


def test_no_evidence(run: Runs, machine: Path) -> None:
    refuse(run, machine, "compare", "nothing was measured yet", "cfgaudit measure --help")


@pytest.mark.parametrize(
    ("words", "part"),
    [
        (f"{NEW} {OLD}", f"{NEW} is later than {OLD}: write the one before the upgrade first"),
        (f"HEAD {NEW}", "are the same state: name one before the upgrade"),
        ("nonsense", "names no commit"),
        ("main.ini", "the main file goes with --main main.ini"),
        (f"{OLD} nonsense", "names no commit"),
        ("--plot up.gif", "pictures are made as .svg or .png: give such a name"),
        ("--plot none/up.svg", "none/up.svg cannot be written"),
        ("--plot main.ini/up.svg", "cannot be written"),
    ],
)
def test_what_cannot_be_compared(run: Runs, machine: Path, words: str, part: str) -> None:
    write(machine, BEFORE | AFTER)
    refuse(run, machine, f"compare {words}", part)


def test_no_mark_no_commit_no_repository(run: Runs, here: Path, git: Git) -> None:
    write(here, {"main.ini": MAIN} | BEFORE)
    refuse(run, here, "compare", "no commit yet: git commit, then mark one", "cfgaudit mark -m")
    git("add", ".")
    git("commit", "-qm", "first")
    refuse(run, here, "compare", "no commit of this branch is marked")
    (here / ".git").rename(here / "git")
    refuse(run, here, "compare", "lies in no git repository: run git init there")


def test_without_the_extra(machine: Path, tmp_path: Path) -> None:
    """A Python that finds no scipy."""
    write(machine, BEFORE | AFTER)
    hidden = write(tmp_path / "hidden", {"sitecustomize.py": WITHOUT_SCIPY})
    ran = process("compare", cwd=machine, env={"PYTHONPATH": f"{hidden}:{Path(__file__).parents[2]}"})
    assert (ran.status, ran.out) == (2, "")
    assert "scipy: pip install 'cfgaudit[measure]'" in ran.err
    assert ran.err.count("\n") == 1


def test_nothing_is_written(run: Runs, machine: Path) -> None:
    write(machine, BEFORE | AFTER)
    before = contents(machine)
    told(run)
    assert contents(machine) == before
