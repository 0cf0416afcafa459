"""``suspects``: which change is to blame. What causes what is common practice, no source."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from cfgaudit.history.blame.symptoms import symptom_names
from cfgaudit.report.cautions import CAUTIONS
from cli.conftest import Runs
from cli.program import write
from cli.test_help import completed

Git = Callable[..., str]

AXES = """[axis x]
lowest = 0 mm
highest = 300 mm
top acceleration = {x} mm/s²

[axis y]
lowest = 0 mm
highest = 300 mm
top acceleration = {y} mm/s²

[driver x]
running current = {current} A

[light lid]
brightness = {glow} %
"""


def machine(x: object = 4000, y: object = 4000, current: object = 1.2, glow: object = 50) -> dict[str, str]:
    return {"machine.ini": AXES.format(x=x, y=y, current=current, glow=glow)}


@pytest.fixture
def marked(here: Path, git: Git) -> Git:
    """A repository whose one commit is marked as good."""
    write(here, machine())
    git("add", ".")
    git("commit", "--quiet", "--message=as it prints")
    git("tag", "--annotate", "--message=a good print", "good/2026-11-01")
    return git


def committed(git: Git, here: Path, message: str, **settings: object) -> str:
    write(here, machine(**settings))
    git("commit", "--quiet", "--all", f"--message={message}")
    return git("rev-parse", "HEAD").strip()


def report(run: Runs, *words: str) -> dict[str, Any]:
    ran = run("suspects", *words, "--format", "json")
    assert (ran.status, ran.err) == (0, "")
    form = json.loads(ran.out)
    assert isinstance(form, dict)
    return form


def test_without_a_symptom_there_is_a_list_of_them(run: Runs) -> None:
    for columns in (40, 80, 120):
        ran = run("suspects", columns=columns)
        assert (ran.status, ran.err) == (0, "")
        assert max(map(len, ran.out.splitlines())) <= columns
        assert set(symptom_names()) <= set(ran.out.split())
    form = json.loads(run("suspects", "--format", "json").out)
    assert form["schema"] == 1
    assert [one["symptom"] for one in form["symptoms"]] == list(symptom_names())


@pytest.mark.parametrize(
    ("word", "told"), [("rinning", "did you mean ringing?"), ("", "there are"), ("x\ny", "there are")]
)
def test_an_unknown_symptom_is_one_line(run: Runs, word: str, told: str) -> None:
    ran = run("suspects", word)
    assert (ran.status, ran.out, ran.err.count("\n")) == (2, "", 1)
    assert told in ran.err
    assert "thermal-fault" in ran.err


def test_an_axis_is_one_letter(run: Runs) -> None:
    ran = run("suspects", "ringing", "--axis", "left")
    assert (ran.status, ran.err.count("\n")) == (2, 1)
    assert "--axis takes one letter" in ran.err


def test_no_repository_is_one_line(run: Runs, here: Path) -> None:
    write(here, machine())
    ran = run("suspects", "ringing")
    assert (ran.status, ran.err.count("\n")) == (2, 1)


@pytest.mark.usefixtures("marked")
def test_nothing_changed(run: Runs) -> None:
    ran = run("suspects", "ringing")
    assert ran.status == 0
    assert "Nothing changed from good/2026-11-01 to the working tree" in " ".join(ran.out.split())
    assert report(run, "ringing")["suspects"] == []


def test_what_changed_is_innocent(run: Runs, here: Path, marked: Git) -> None:
    write(here, machine(glow=70))
    told = " ".join(run("suspects", "ringing").out.split())
    assert "The one change does not explain ringing" in told
    assert "older FROM" in told
    write(here, machine(glow=70, x=3000))
    assert "None of the 2 changes explains ringing" in " ".join(run("suspects", "ringing").out.split())
    assert report(run, "ringing", "--bisect")["plan"] is None


def test_the_ranking(run: Runs, here: Path, marked: Git) -> None:
    write(here, machine(x=4500, y=40000, glow=70))
    form = report(run, "ringing")
    assert form.keys() == {"schema", "symptom", "about", "axis", "from", "to", "suspects", "others", "plan"}
    good = marked("rev-parse", "HEAD").strip()
    assert (form["from"]["label"], form["from"]["commit"]) == ("good/2026-11-01", good)
    assert form["from"]["mark"]["note"] == "a good print"
    assert form["to"] == {"label": "working tree", "commit": None, "date": None, "mark": None}
    changes = json.loads(run("changes", "--format", "json").out)
    assert [form["from"], form["to"]] == [changes["from"], changes["to"]], "both say alike what they compare"
    suspects = form["suspects"]
    assert isinstance(suspects, list)
    assert [one["section"] for one in suspects] == ["axis y", "axis x"]
    assert suspects[0]["word"] == "strong"
    assert (suspects[0]["before"], suspects[0]["after"]) == ("4000 mm/s²", "40000 mm/s²")
    assert (suspects[0]["where"]["file"], suspects[0]["where"]["line"]) == ("machine.ini", 9)
    assert form["others"] == 1
    assert suspects[0].keys() == {
        "score", "word", "reason", "source", "kind", "concern", "severity", "section", "setting", "role",
        "axis", "before", "after", "where", "effective", "commits", "uncommitted",
    }  # fmt: skip
    named = report(run, "ringing", "--axis", "X")["suspects"]
    assert isinstance(named, list)
    assert named[0]["section"] == "axis x"


def test_the_text_fits_any_window(run: Runs, here: Path, marked: Git) -> None:
    write(here, machine(x=4500, y=40000, current=0.6, glow=70))
    for columns in (40, 60, 80, 120):
        ran = run("suspects", "layer-shift", "--bisect", columns=columns)
        assert (ran.status, ran.err) == (0, "")
        assert max(map(len, ran.out.splitlines())) <= columns
        told = " ".join(ran.out.split())
        assert "4000 mm/s² → 40000 mm/s²" in told
        assert "10 times as high" in told
        assert "1 other change has nothing to do with layer-shift" in told
        assert CAUTIONS in told


def test_revisions_can_be_named(run: Runs, here: Path, marked: Git) -> None:
    bad = committed(marked, here, "Faster", y=40000)
    committed(marked, here, "Slow again")
    assert not report(run, "ringing")["suspects"]
    form = report(run, "ringing", "good/2026-11-01", bad[:10])
    assert (form["to"]["label"], form["to"]["commit"]) == (f"commit {bad[:7]}", bad)
    made = datetime.fromisoformat(marked("log", "-1", "--format=%aI", bad).strip())
    assert datetime.fromisoformat(form["to"]["date"]) == made
    assert form["suspects"]


def test_a_plan_over_the_working_tree_puts_halves_back(run: Runs, here: Path, marked: Git) -> None:
    write(here, machine(x=9000, y=9000))
    form = report(run, "ringing", "--bisect")
    plan = form["plan"]
    assert isinstance(plan, dict)
    assert plan["prints"] == 1
    assert plan["first"]["print"] is None
    assert plan["first"]["restore"] == plan["first"]["good"]["suspects"] != plan["first"]["bad"]["suspects"]
    told = " ".join(run("suspects", "ringing", "--bisect").out.split())
    assert "--from good/2026-11-01" in told
    assert "git switch --create trials" in told


def test_a_plan_passes_over_what_is_not_fit_to_print(run: Runs, here: Path, marked: Git) -> None:
    """Three changes; the state after the first, which would do as well, has an axis without a way to go."""
    first = committed(marked, here, "Faster in x", x=9000)
    broken = machine(x=9000, y=9000)["machine.ini"].replace("highest = 300", "highest = -300")
    write(here, {"machine.ini": broken})
    marked("commit", "--quiet", "--all", "--message=Faster in y, and a slip")
    second = marked("rev-parse", "HEAD").strip()
    mended = committed(marked, here, "Mend the slip", x=9000, y=9000)
    last = committed(marked, here, "Less current", x=9000, y=9000, current=0.5)
    plan = report(run, "layer-shift", "good/2026-11-01", last, "--bisect")["plan"]
    proposed = {one["commit"] for one in prints(plan)}
    assert second not in proposed
    assert proposed <= {first, mended}
    assert proposed


def test_settings_of_a_commit_are_told_apart_by_putting_them_back(run: Runs, here: Path, marked: Git) -> None:
    """Where TO is the working tree; of commits alone the plan ends with what one of them made."""
    committed(marked, here, "Faster", x=9000, y=9000)
    last = committed(marked, here, "Less current", x=9000, y=9000, current=0.6)
    over_commits = report(run, "layer-shift", "good/2026-11-01", last, "--bisect")["plan"]
    assert isinstance(over_commits, dict)
    assert set(over_commits["first"]["bad"]["suspects"]) == {
        "axis x:top acceleration",
        "axis y:top acceleration",
    }
    with_work = report(run, "layer-shift", "--bisect")["plan"]
    assert isinstance(with_work, dict)
    (put_back,) = with_work["first"]["bad"]["restore"]
    assert run("restore", put_back, "--from", "good/2026-11-01").status == 0
    left = report(run, "layer-shift")["suspects"]
    assert isinstance(left, list)
    assert put_back not in {f"{one['section']}:{one['setting']}" for one in left}


def test_a_plan_says_what_would_not_be_fit_to_print(run: Runs, here: Path, marked: Git) -> None:
    broken = machine(x=9000, y=9000)["machine.ini"].replace("highest = 300", "highest = -300", 1)
    write(here, {"machine.ini": broken})
    plan = report(run, "ringing", "--bisect")["plan"]
    assert isinstance(plan, dict)
    assert plan["working_tree"]["errors"] + plan["working_tree"]["dangers"] > 0
    assert plan["first"]["errors"] + plan["first"]["dangers"] > 0
    told = " ".join(run("suspects", "ringing", "--bisect").out.split())
    assert "The working tree as it is is not fit to print" in told
    assert "not fit to print as it would be" in told


def prints(outcome: object) -> list[dict[str, str]]:
    """Every state that a plan proposes."""
    if isinstance(outcome, dict):
        found = [outcome["print"]] if outcome.get("print") else []
        return [*found, *(one for key in ("first", "good", "bad") for one in prints(outcome.get(key)))]
    return []


def test_a_start_that_the_end_does_not_come_from(run: Runs, here: Path, marked: Git) -> None:
    marked("switch", "--quiet", "--create", "other")
    other = committed(marked, here, "Another way", x=5000)
    marked("switch", "--quiet", "main")
    committed(marked, here, "Faster", y=40000)
    assert report(run, "ringing", other)["suspects"]
    ran = run("suspects", "ringing", other, "--bisect")
    assert (ran.status, ran.out, ran.err.count("\n")) == (2, "", 1)
    assert "does not come from" in ran.err


def test_symptoms_are_completed() -> None:
    assert completed("cfgaudit suspects th") == ["thermal-fault", "thin-walls"]
