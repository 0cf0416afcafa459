"""``history``: what a builder types, and what comes back."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from cfgaudit.report.lines import breadth
from cli.conftest import Runs
from cli.program import write

Git = Callable[..., str]

MACHINE = """\
[heater bed]
drive = P2.7
highest = 110 °C
rating = 150 W

[macro park]
body =
    G28
    G1 X10 F3000
"""


@pytest.fixture
def commits(here: Path, git: Git) -> list[str]:
    """Three values of one setting, the second marked, and a fourth that is not committed."""
    ids = []
    for value in ("110 °C", "115 °C", "120 °C"):
        write(here, {"machine.ini": MACHINE.replace("110 °C", value)})
        git("add", ".")
        git("commit", "--quiet", f"--message=Bed to {value}", "--date=2026-11-20T10:00:00+0100")
        ids.append(git("rev-parse", "HEAD").strip())
        if value == "115 °C":
            git("tag", "--annotate", "--message=it held", "good/2026-11-20")
    write(here, {"machine.ini": MACHINE.replace("110 °C", "125 °C")})
    return ids


def test_a_setting_as_text(run: Runs, commits: list[str]) -> None:
    ran = run("history", "heater bed:highest")
    assert (ran.status, ran.err) == (0, "")
    lines = ran.out.splitlines()
    assert lines[0] == "heater bed:highest"
    values = [line.split("  ", 2)[1] for line in lines if line.startswith("  ") and line[2] != " "]
    assert values == ["125 °C", "120 °C", "115 °C", "110 °C"]
    told = " ".join(ran.out.split())
    assert "125 °C not committed yet" in told
    assert f"115 °C 2026-11-20 {commits[1][:7]} Bed to 115 °C (Odile) held at good/2026-11-20" in told
    assert "machine.ini:3" in told


def test_a_value_that_another_file_held_first_names_both_files(run: Runs, here: Path, git: Git) -> None:
    bed = MACHINE[: MACHINE.index("[macro")]
    write(here, {"machine.ini": MACHINE})
    git("add", ".")
    git("commit", "--quiet", "--message=all in one")
    write(here, {"machine.ini": "%include bed.ini\n" + MACHINE.removeprefix(bed), "bed.ini": bed})
    told = " ".join(run("history", "heater bed:highest").out.split())
    assert "bed.ini:3, at the time in machine.ini" in told


@pytest.mark.parametrize("columns", [40, 80, 120])
@pytest.mark.usefixtures("commits")
def test_it_fits(run: Runs, columns: int) -> None:
    for name in ("*:*", "heater.*.*"):
        ran = run("history", name, columns=columns)
        assert ran.status == 0
        assert all(breadth(line) <= columns for line in ran.out.splitlines())


def test_a_setting_as_json(run: Runs, commits: list[str]) -> None:
    form = json.loads(run("history", "heater bed:highest", "--format", "json").out)
    assert form.keys() == {"schema", "main", "settings", "facts"}
    assert (form["schema"], form["main"], form["facts"]) == (1, "machine.ini", [])
    (setting,) = form["settings"]
    assert setting.keys() == {"section", "setting", "now", "values"}
    assert (setting["section"], setting["setting"]) == ("heater bed", "highest")
    written = {"section", "setting", "value", "where", "written_by"}
    assert setting["now"].keys() == written
    values = setting["values"]
    assert [one["value"] for one in values] == ["125 °C", "120 °C", "115 °C", "110 °C"]
    assert [one["commit"] and one["commit"]["id"] for one in values] == [None, *reversed(commits)]
    assert [one["marks"] for one in values] == [[], [], ["good/2026-11-20"], []]
    for one in values:
        assert one.keys() == {"value", "commit", "marks", "where", "written_by", "before"}
        assert one["where"] == {
            "file": "machine.ini",
            "line": 3,
            "column": 11,
            "end_line": 3,
            "end_column": 17,
        }
    assert values[2]["commit"] == {
        "id": commits[1],
        "date": "2026-11-20T10:00:00+01:00",
        "author": "Odile",
        "summary": "Bed to 115 °C",
    }
    assert values[-1]["before"] is None
    assert values[0]["before"].keys() == written
    assert values[0]["before"]["value"] == "120 °C"


def test_a_fact_as_json(run: Runs, here: Path, git: Git, commits: list[str]) -> None:
    """The stated rating is the power where nothing limits the duty."""
    write(here, {"machine.ini": MACHINE.replace("150 W", "200 W")})
    form = json.loads(run("history", "heater.bed.watts", "--format", "json").out)
    assert form["settings"] == []
    (fact,) = form["facts"]
    assert fact.keys() == {"fact", "unit", "now", "values"}
    assert (fact["fact"], fact["unit"]) == ("heater.bed.watts", "W")
    assert fact["now"] == {"fact": "heater.bed.watts", "value": 200, "unit": "W"}
    newest, first = fact["values"]
    assert newest.keys() == {"value", "commit", "marks", "from", "before"}
    assert [newest["value"], newest["commit"], first["value"]] == [200, None, 150]
    assert first["commit"]["id"] == commits[0]
    assert [one["setting"] for one in newest["from"]] == ["rating"]
    assert first["marks"] == ["good/2026-11-20"]


@pytest.mark.usefixtures("commits")
def test_a_bare_name_is_a_setting_or_a_section(run: Runs) -> None:
    assert run("history", "highest").out.startswith("heater bed:highest\n")
    assert run("history", "heater bed").out.startswith("heater bed:drive\n")


def test_since(run: Runs, commits: list[str]) -> None:
    form = json.loads(run("history", "*:highest", "--since", "good/2026-11-20", "--format", "json").out)
    assert [one["value"] for one in form["settings"][0]["values"]] == ["125 °C", "120 °C", "115 °C"]
    ran = run("history", "heater bed:rating", "--since", commits[0])
    assert (ran.status, ran.out) == (0, f"heater bed:rating did not change after {commits[0]}.\n")


@pytest.mark.usefixtures("commits")
@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("heater bed:higest", "did you mean heater bed:highest?"),
        ("heter bed:highest", "did you mean heater bed:highest?"),
        ("heater.bed.wats", "did you mean heater.bed.watts?"),
        ("higest", "did you mean *:highest?"),
        ("quux:zzzzzzz", "nothing was ever called quux:zzzzzzz"),
        (" ", "the name is empty"),
        (":", "the name is empty"),
    ],
)
def test_what_never_was(run: Runs, name: str, said: str) -> None:
    ran = run("history", name)
    assert (ran.status, ran.out) == (2, "")
    assert said in ran.err
    assert ran.err.count("\n") == 1


def test_revisions_that_are_none(run: Runs, git: Git, commits: list[str]) -> None:
    assert "names no commit" in run("history", "highest", "--since", "nowhere").err
    git("checkout", "--quiet", "--force", "-b", "side", commits[0])
    git("commit", "--quiet", "--allow-empty", "--message=aside")
    git("checkout", "--quiet", "main")
    ran = run("history", "highest", "--since", "side")
    assert ran.status == 2
    assert "HEAD does not come from side" in ran.err


def test_no_repository(run: Runs, here: Path) -> None:
    write(here, {"machine.ini": MACHINE})
    ran = run("history", "highest")
    assert ran.status == 2
    assert "lies in no git repository" in ran.err


def test_a_cut_off_history_is_told(run: Runs, here: Path, git: Git, commits: list[str]) -> None:
    git("clone", "--quiet", "--depth=1", f"file://{here}", "clone")
    ran = run("history", "highest", "--main", "clone/machine.ini")
    assert ran.status == 0
    assert "git fetch --unshallow" in ran.out
    assert "120 °C" in ran.out
