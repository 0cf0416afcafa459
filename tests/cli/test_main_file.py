"""Which file a command reads: named, found, or as the project file says; on disk, staged, or in a commit."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from cli.conftest import Runs
from cli.program import write

ONE = "[fan one]\npin = PA1\n"
TWO = "[fan two]\npin = PA1\n\n[fan three]\npin = PA1\n"


def main_of(run: Runs, *arguments: str) -> tuple[str, list[str]]:
    ran = run("tree", *arguments, "--format", "json")
    assert ran.err == ""
    form = json.loads(ran.out)
    return form["main"], [one["section"] for one in form["settings"]]


def test_the_only_file_of_a_folder(run: Runs, here: Path) -> None:
    write(here, {"m/one.ini": ONE})
    assert main_of(run, "m") == ("one.ini", ["fan one"])
    assert main_of(run, "m/one.ini") == ("one.ini", ["fan one"])
    assert main_of(run) == ("one.ini", ["fan one"])


def test_the_one_that_includes_the_others(run: Runs, here: Path) -> None:
    write(here, {"a.ini": ONE, "b.ini": TWO, "z.ini": "%include a.ini\n%include b.ini\n"})
    assert main_of(run) == ("z.ini", ["fan one", "fan two", "fan three"])


def test_the_one_that_the_project_file_names(run: Runs, here: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write(here, {"m/a.ini": ONE, "m/deep/b.ini": TWO, "m/cfgaudit.toml": 'main = "deep/b.ini"\n'})
    assert main_of(run, "m") == ("b.ini", ["fan two", "fan three"])
    assert main_of(run, "m/a.ini") == ("a.ini", ["fan one"])
    monkeypatch.chdir(here / "m")
    assert main_of(run) == ("b.ini", ["fan two", "fan three"])


def test_in_a_work_tree_the_project_file_may_stand_above(
    run: Runs, here: Path, git: Callable[..., str], monkeypatch: pytest.MonkeyPatch
) -> None:
    write(here, {"left/one.ini": ONE, "right/two.ini": TWO, "cfgaudit.toml": 'main = "left/one.ini"\n'})
    (here / "left" / "sub").mkdir()
    monkeypatch.chdir(here / "left" / "sub")
    assert main_of(run) == ("one.ini", ["fan one"])
    monkeypatch.chdir(here)
    assert main_of(run, "right") == ("two.ini", ["fan two", "fan three"]), "another folder is asked for"


def test_outside_a_work_tree_a_stranger_above_has_no_say(
    run: Runs, here: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write(here, {"cfgaudit.toml": "nonsense", "m/one.ini": ONE})
    assert main_of(run, "m") == ("one.ini", ["fan one"])


def test_a_shared_vocabulary_outside_the_folder(run: Runs, here: Path) -> None:
    write(here, {"words.toml": '[words]\nfan = ["whirl"]\n', "m/one.ini": "[whirl one]\npin = PA1\n"})
    write(here, {"m/cfgaudit.toml": 'vocabulary = "../words.toml"\n'})
    assert "fan one" in run("roles", "m").out
    assert "fan one" in run("roles", "m/one.ini").out


def test_staged_and_committed(run: Runs, here: Path, git: Callable[..., str]) -> None:
    write(here, {"one.ini": ONE})
    git("add", ".")
    git("commit", "--quiet", "--message=first")
    write(here, {"one.ini": TWO})
    git("add", ".")
    write(here, {"one.ini": "[fan four]\npin = PA4\n"})
    assert main_of(run) == ("one.ini", ["fan four"])
    assert main_of(run, "--staged") == ("one.ini", ["fan two", "fan three"])
    for rev in ("HEAD", "main", git("rev-parse", "HEAD").strip()[:8]):
        assert main_of(run, "--rev", rev) == ("one.ini", ["fan one"])
    assert run("check", "--staged").status == 1
    assert run("check", "--rev", "HEAD").status == 0


def test_the_project_file_is_read_from_the_same_source(
    run: Runs, here: Path, git: Callable[..., str]
) -> None:
    write(here, {"one.ini": TWO, "cfgaudit.toml": "[rules]\npin-shared = 'off'\n"})
    git("add", ".")
    git("commit", "--quiet", "--message=first")
    (here / "cfgaudit.toml").unlink()
    assert run("check", "one.ini", "--rev", "HEAD").status == 0
    assert run("check", "one.ini", "--staged").status == 0
    assert run("check", "one.ini").status == 1


def test_a_file_that_is_gone_from_disk_can_still_be_read_from_a_commit(
    run: Runs, here: Path, git: Callable[..., str]
) -> None:
    write(here, {"m/one.ini": ONE})
    git("add", ".")
    git("commit", "--quiet", "--message=first")
    (here / "m" / "one.ini").unlink()
    assert main_of(run, "m", "--rev", "HEAD") == ("one.ini", ["fan one"])
    assert main_of(run, "m/one.ini", "--rev", "HEAD") == ("one.ini", ["fan one"])


def test_house_rules_are_listed_and_explained(run: Runs, here: Path) -> None:
    write(
        here,
        {
            "cfgaudit.toml": """\
[rules]
part-unused = "off"

[limits]
"cold-side-fan-late.latest" = 47

[[rule]]
name = "bed-not-above-90"
title = "Bed above what our table stands"
severity = "error"
advice = "Stay at 90 °C or below."
require = { role = "temp.max", part = "heater", at_most = 90, message = "{part} may reach {value}" }
"""
        },
    )
    listed = " ".join(run("rules").out.split())
    assert "bed-not-above-90 error Bed above what our table stands" in listed
    assert "part-unused off" in listed
    page = run("explain", "bed-not-above-90").out
    assert "Stay at 90 °C or below." in page
    assert "latest = 47 °C" in run("explain", "cold-side-fan-late").out


@pytest.mark.parametrize(
    ("line", "way"),
    [
        ("check", "check sub/../one.ini"),
        ("gate", "gate one.ini"),
        ("gate --systemd unit.service", "gate one.ini --systemd unit.service"),
        *((line, f"{line} --main one.ini") for line in ("changes", "suspects ringing", "marks", "evidence")),
        *((line, f"{line} --main one.ini") for line in ("restore --all", "history *:*", "mark -m fine")),
        ("measure value mass 2 kg", "measure value mass 2 kg --main one.ini"),
    ],
)
def test_in_a_folder_without_one_it_says_how_this_command_is_told(
    run: Runs, here: Path, git: Callable[..., str], monkeypatch: pytest.MonkeyPatch, line: str, way: str
) -> None:
    """By the argument or by the option: what works at the top is what is told below it."""
    write(here, {"one.ini": ONE})
    (here / "sub").mkdir()
    git("add", ".")
    git("commit", "--quiet", "--message=first")
    git("tag", "--annotate", "--message=fine", "good/2026-01-02")
    assert run(*way.split()).status != 2
    monkeypatch.chdir(here / "sub")
    ran = run(*line.split())
    assert (ran.status, ran.out, ran.err.count("\n")) == (2, "", 1)
    assert "no configuration file was found" in ran.err
    assert ("`--main FILE`" in ran.err) == ("--main" in way)
    assert (f"`cfgaudit {line.split()[0]} FILE`" in ran.err) == ("--main" not in way)
