"""``changes``: from real repositories to reports."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from cfgaudit.report.cautions import CAUTIONS
from cli.conftest import Runs
from cli.program import write

Git = Callable[..., str]
MAIN = """\
[axis x]
lowest = 0 mm
highest = 300 mm
top acceleration = {accel} mm/s²

[motor x]
full steps = 200
microsteps = {micro}
travel per turn = 40 mm
"""


def machine(accel: object = 3000, micro: object = 16) -> dict[str, str]:
    return {"mill.ini": MAIN.format(accel=accel, micro=micro)}


@pytest.fixture
def marked(here: Path, git: Git) -> Path:
    """A machine whose one commit is marked."""
    write(here, machine())
    git("add", ".")
    git("commit", "--quiet", "--message=as it prints")
    git("tag", "--annotate", "--message=a vase", "good/2026-11-01")
    return here


def committed(git: Git, here: Path, message: str, **settings: object) -> str:
    write(here, machine(**settings))
    git("commit", "--quiet", "--all", f"--message={message}")
    return git("rev-parse", "HEAD").strip()


def report(run: Runs, *words: str) -> Any:
    ran = run("changes", *words, "--format", "json")
    assert (ran.status, ran.err) == (0, "")
    return json.loads(ran.out)


def values(form: Any) -> dict[str, tuple[str | None, str | None]]:
    return {f"{one['section']}:{one['setting']}": (one["before"], one["after"]) for one in form["changes"]}


def test_from_the_last_mark_to_the_working_tree(run: Runs, marked: Path, git: Git) -> None:
    first = committed(git, marked, "faster", accel=4000)
    write(marked, machine(accel=4000, micro=32))
    form = report(run)
    assert form["schema"] == 1
    assert (form["main"], form["from"]["label"], form["to"]["label"]) == (
        "mill.ini",
        "good/2026-11-01",
        "working tree",
    )
    assert form["from"]["commit"] == git("rev-parse", "good/2026-11-01^{commit}").strip()
    assert form["to"]["commit"] is None
    assert values(form) == {
        "axis x:top acceleration": ("3000 mm/s²", "4000 mm/s²"),
        "motor x:microsteps": ("16", "32"),
    }
    by_setting = {one["setting"]: one for one in form["changes"]}
    assert [one["id"] for one in by_setting["top acceleration"]["commits"]] == [first]
    assert (by_setting["microsteps"]["commits"], by_setting["microsteps"]["uncommitted"]) == ([], True)


def test_what_a_change_holds(run: Runs, marked: Path) -> None:
    """200 full steps × 16 ÷ 40 mm are 80 steps per mm; at 32 microsteps 160."""
    write(marked, machine(micro=32))
    (one,) = report(run)["changes"]
    expected = {
        "concern": "motion",
        "kind": "changed",
        "section": "motor x",
        "setting": "microsteps",
        "role": "steps.micro",
        "axis": "x",
        "part": "motor",
        "before": "16",
        "after": "32",
        "relative": 1.0,
        "effective": True,
        "written_by": "hand",
        "settings": [],
    }
    assert {key: one[key] for key in expected} == expected
    assert one["where"] == {"file": "mill.ini", "line": 8, "column": 14, "end_line": 8, "end_column": 16}
    assert one["severity"] in ("danger", "warning")
    steps = {"fact": "axis.x.steps_per_mm", "unit": "1/mm", "before": 80.0, "after": 160.0}
    assert steps in one["consequences"]


def test_other_states(run: Runs, marked: Path, git: Git) -> None:
    committed(git, marked, "faster", accel=4000)
    committed(git, marked, "faster still", accel=5000)
    write(marked, machine(accel=6000))
    git("add", ".")
    write(marked, machine(accel=7000))

    def told(*words: str) -> tuple[str | None, str | None]:
        return values(report(run, *words))["axis x:top acceleration"]

    assert told() == ("3000 mm/s²", "7000 mm/s²")
    assert told("--staged") == ("3000 mm/s²", "6000 mm/s²")
    assert told("HEAD") == ("5000 mm/s²", "7000 mm/s²")
    assert told("HEAD~1", "--staged") == ("4000 mm/s²", "6000 mm/s²")
    assert told("HEAD", "HEAD~2") == ("5000 mm/s²", "3000 mm/s²")


def test_nothing_changed(run: Runs, marked: Path) -> None:
    ran = run("changes")
    assert (ran.status, ran.err) == (0, "")
    assert ran.out.startswith("Nothing changed from good/2026-11-01")
    assert ran.out.count("\n") == 1
    assert report(run)["changes"] == []


def test_it_is_a_report_and_fails_at_nothing(run: Runs, marked: Path) -> None:
    """A danger is told with the cautions under it; whether to go on is for the gate to say."""
    write(marked, machine(accel=90000))
    ran = run("changes")
    assert ran.status == 0
    assert "danger" in ran.out
    assert " ".join(CAUTIONS.split()) in " ".join(ran.out.split())


def test_findings_that_came_and_went(run: Runs, marked: Path, git: Git) -> None:
    write(marked, {"mill.ini": MAIN.format(accel=3000, micro=16).replace("lowest = 0", "lowest = 400")})
    git("commit", "--quiet", "--all", "--message=wrong")
    came, went = report(run)["findings"], report(run, "HEAD", "HEAD~1")["findings"]
    assert (
        [one["rule"] for one in came["new"]] == ["travel-inverted"] == [one["rule"] for one in went["gone"]]
    )
    assert (came["gone"], went["new"]) == ([], [])
    (change,) = report(run)["changes"]
    assert change["findings"] == [one["fingerprint"] for one in came["new"]]
    assert "travel-inverted" in run("changes").out
    assert "Findings that are gone" in run("changes", "HEAD", "HEAD~1").out


def test_markdown(run: Runs, marked: Path) -> None:
    write(marked, machine(accel=4000))
    ran = run("changes", "--format", "markdown")
    assert (ran.status, ran.err) == (0, "")
    assert "### Motion" in ran.out
    assert "`3000 mm/s²` → `4000 mm/s²`" in ran.out


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("HEAD", "HEAD", "--staged"), "leave out"),
        (("nowhere",), "nowhere"),
        (("--format", "xml"), "--help"),
        (("--main", "gone.ini"), "gone.ini"),
        (("mill.ini",), "--main"),
    ],
)
def test_wrong_usage(run: Runs, marked: Path, words: tuple[str, ...], told: str) -> None:
    ran = run("changes", *words)
    assert (ran.status, ran.out) == (2, "")
    assert told in ran.err
    assert ran.err.count("\n") == 1


def test_without_a_mark_it_says_how_to_make_one(run: Runs, here: Path, git: Git) -> None:
    write(here, machine())
    git("add", ".")
    git("commit", "--quiet", "--message=all")
    ran = run("changes")
    assert ran.status == 2
    assert "cfgaudit mark" in ran.err
    assert run("changes", "HEAD").status == 0


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    from cli.program import process

    folder = tmp_path_factory.mktemp("demo")
    process("demo", "heron", cwd=folder)
    return folder / "heron"


def test_the_upgrade_is_told_in_words_of_the_trade(
    run: Runs, demo: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No change is only a text, and every line that git says differs belongs to one of them."""
    monkeypatch.chdir(demo)
    form = report(run)
    assert form["changes"]
    assert [one for one in form["changes"] if one["kind"] == "text"] == []
    settings = {one["setting"] for one in form["changes"] if one["setting"]}
    settings |= {inner["setting"] for one in form["changes"] for inner in one["settings"]}
    difference = subprocess.run(
        ["git", "diff", "--unified=0", form["from"]["label"]],
        cwd=demo,
        capture_output=True,
        text=True,
        check=True,
    ).stdout
    changed = [
        one[1:] for one in difference.splitlines() if one[:1] in "+-" and one[:3] not in ("+++", "---")
    ]
    keys = {one.partition("=")[0].strip() for one in changed if "=" in one and one[:1].isalpha()}
    assert keys
    assert keys <= settings


def test_the_demo_fits_80_columns(run: Runs, demo: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(demo)
    for columns in (40, 80, 120):
        out = run("changes", columns=columns).out
        assert max(map(len, out.splitlines())) <= columns
