"""``demo``: a real repository, the same on every machine, beside nothing of the user's."""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import textwrap
import tomllib
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest

from cfgaudit.data import data_folder
from cfgaudit.history.story import Story, write_story
from cli.conftest import Runs
from cli.program import contents, process, write

HERON = data_folder("samples") / "heron"
STEPS = tomllib.loads((HERON / "history.toml").read_text("utf-8"))["step"]
FAULTS = tomllib.loads((HERON / "upgrade" / "faults.toml").read_text("utf-8"))["fault"]
FINDING = re.compile(r"^  (\d+):\d+  (danger|error|warning|note)  ([a-z-]+)$")


def git(folder: Path, *arguments: str) -> str:
    return subprocess.run(["git", *arguments], cwd=folder, check=True, capture_output=True, text=True).stdout


def test_the_repository(run: Runs, here: Path) -> None:
    ran = run("demo", "machines/heron")
    assert (ran.status, ran.err) == (0, "")
    folder = here / "machines" / "heron"
    committed = [step for step in STEPS if step.get("committed", True)]
    log = git(folder, "log", "--reverse", "--format=%s|%an|%aI|%cI").splitlines()
    assert log == [
        "|".join((step["message"].strip().splitlines()[0], step["author"], *[step["date"].isoformat()] * 2))
        for step in committed
    ]
    marks = git(folder, "for-each-ref", "--format=%(contents:subject)", "refs/tags").splitlines()
    assert marks == [step["mark"]["note"] for step in committed if "mark" in step]
    assert git(folder, "status", "--porcelain") != "", "the upgrade is not committed"
    assert git(folder, "fsck", "--strict").strip() == ""


def test_it_is_the_same_everywhere(here: Path, monkeypatch: pytest.MonkeyPatch, run: Runs) -> None:
    """Whatever the user's clock, locale, git configuration and rights to new files say."""
    run("demo", "one")
    config = write(
        here, {"config": "[user]\nname = Other\n[core]\nautocrlf = true\n[commit]\ngpgSign = true\n"}
    )
    env = {
        "TZ": "Pacific/Chatham",
        "LC_ALL": "C",
        "GIT_AUTHOR_DATE": "2001-02-03T04:05:06+00:00",
        "GIT_AUTHOR_NAME": "Other",
        "GIT_CONFIG_GLOBAL": str(config / "config"),
        "GIT_DEFAULT_HASH": "sha256",
    }
    assert process("demo", "two", cwd=here, env=env, umask=0o077).status == 0
    for what in (["rev-parse", "HEAD"], ["rev-parse", "--symbolic", "--all"], ["rev-parse", "--tags"]):
        assert git(here / "one", *what) == git(here / "two", *what)


def test_in_a_hook_of_another_repository(here: Path, git: Callable[..., str]) -> None:
    """A hook's environment says that git works on its repository; that one is left alone."""
    write(here, {"own.txt": "mine\n"})
    git("add", ".")
    git("commit", "--quiet", "--message=mine")
    env = {
        "GIT_DIR": str(here / ".git"),
        "GIT_INDEX_FILE": str(here / ".git" / "index"),
        "GIT_WORK_TREE": str(here),
    }
    assert process("demo", "heron", cwd=here, env=env).status == 0
    assert git("log", "--format=%s").splitlines() == ["mine"]
    assert git("status", "--porcelain").splitlines() == ["?? heron/"]
    assert (here / "heron" / ".git").is_dir()


def test_every_planted_fault_is_shown(run: Runs, here: Path) -> None:
    shown: set[tuple[str, str, int]] = set()
    file = ""
    for text in run("demo").out.splitlines():
        if match := FINDING.match(text):
            shown.add((match[3], file, int(match[1])))
        elif text and not text.startswith((" ", "$")) and text.endswith(".ini"):
            file = text
    assert {(one["rule"], one["file"], one["line"]) for one in FAULTS} <= shown
    assert (here / "cfgaudit-demo" / "heron.ini").is_file()


ASKED = {
    "check": "Is this configuration coherent and safe?",
    "changes": "What changed since the last good print, and what does it come to?",
    "gate": "May the firmware be restarted with it?",
    "compare": "And what came of the work between the last two good prints, as far as it was measured?",
}
MARKS = [f"good/{step['mark']['date']:%Y-%m-%d}" for step in STEPS if "mark" in step]


@pytest.mark.parametrize("columns", [80, 120])
def test_what_demo_shows_is_what_the_commands_say(run: Runs, here: Path, columns: int) -> None:
    """Each report is introduced by the question that it answers, and is the command's, to the byte."""
    told = run("demo", "a machine", columns=columns).out
    commands = {
        "check": ["check", "a machine"],
        "changes": ["changes", "--main", "a machine"],
        "gate": ["gate", "a machine"],
        "compare": ["compare", *MARKS, "--main", "a machine"],
    }
    rest = told
    for name, command in commands.items():
        ran = run(*command, columns=columns)
        assert (ran.status, ran.err) == (1 if name in ("check", "gate") else 0, "")
        question, call = (textwrap.fill(text, columns, subsequent_indent=indent) for text, indent in (
            (ASKED[name], ""), (f"$ cfgaudit {shlex.join(command)}", "  ")))  # fmt: skip
        shown = f"\n{question}\n\n{call}\n\n{ran.out}"
        assert rest.count(shown) == 1
        rest = rest.partition(shown)[2]
        if name != "compare":
            assert "no proof that a machine is safe" in " ".join(ran.out.split())
    last = "What the evening's new rail did for X was measured, too. See for yourself:"
    assert rest == f"\n{last}\n\n$ cfgaudit compare --main 'a machine'\n"
    assert "axis x natural frequency: better" in run("compare", "--main", "a machine").out
    assert max(map(len, told.splitlines())) <= columns


def test_without_what_measuring_needs(run: Runs, monkeypatch: pytest.MonkeyPatch) -> None:
    """All but the last answer is there, and one line says what to install."""
    monkeypatch.setattr("importlib.util.find_spec", lambda name, package=None: None)
    ran = run("demo")
    assert (ran.status, ran.err) == (0, "")
    assert "STOP" in ran.out
    last = ran.out.splitlines()[-1]
    assert last.endswith("pip install 'cfgaudit[measure]'")
    assert "numpy" in last


def test_where_the_clock_is_behind_the_demo(run: Runs, monkeypatch: pytest.MonkeyPatch) -> None:
    """A board without a battery starts in the past: nothing that the demo measured is of the future."""
    past = datetime(2020, 1, 1, tzinfo=UTC)

    def written_then(told: Story, folder: Path) -> None:
        write_story(told, folder)
        os.utime(folder / "evidence", (past.timestamp(), past.timestamp()))

    monkeypatch.setattr("cfgaudit.history.story.write_story", written_then)
    monkeypatch.setattr("cfgaudit.cli.clock.current_time", lambda: past)
    assert "evidence-broken" not in run("demo").out
    checked = run("check", "cfgaudit-demo").out
    assert "evidence-broken" not in checked
    assert "shaper-off-resonance" in checked


def test_a_screen_of_introduction_at_most(run: Runs) -> None:
    head = run("demo").out.partition("$ cfgaudit check")[0]
    assert len(head.splitlines()) < 10
    assert "cfgaudit-demo" in head


@pytest.mark.parametrize("taken", ["file", "folder", "link"])
def test_an_existing_target_is_never_touched(run: Runs, here: Path, taken: str) -> None:
    write(here, {"folder/mine.txt": "mine\n", "file": "mine\n"})
    (here / "link").symlink_to("nowhere")
    before = contents(here)
    ran = run("demo", taken)
    assert (ran.status, ran.out, ran.err.count("\n")) == (2, "", 1)
    assert ran.err.startswith(f"cfgaudit: {taken} exists already")
    assert contents(here) == before


def test_a_place_below_a_file(run: Runs, here: Path) -> None:
    write(here, {"file": "mine\n"})
    ran = run("demo", "file/heron")
    assert (ran.status, ran.err.count("\n")) == (2, 1)
    assert contents(here) == {"file": b"mine\n"}


def test_without_git(here: Path) -> None:
    """One line, and no half repository is left."""
    (here / "bin").mkdir()
    ran = process("demo", "new/heron", cwd=here, env={"PATH": str(here / "bin")})
    assert (ran.status, ran.out, ran.err.count("\n")) == (2, "", 1)
    assert "git" in ran.err
    assert list(contents(here)) == ["bin"]
