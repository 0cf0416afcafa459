"""A sample's history made into a repository: what git itself says of it is what the steps say."""

from __future__ import annotations

import os
import subprocess
from pathlib import Path

import pytest

from cfgaudit.history.story import binds, load_story, write_story

HISTORY = """\
main = "m.ini"
branch = "work"

[[step]]
message = "Begin\\n\\nWith a body."
date = 2026-01-02T03:04:05+01:00
author = "Odile"
email = "odile@example.org"
files = "one"

[[step]]
message = "Rename and remove"
date = 2026-01-03T03:04:05-05:30
author = "Per"
email = "per@example.org"
remove = ["old.ini"]
move = [["fan.ini", "parts/fan.ini"]]
mark = { note = "a day of prints", date = 2026-01-04T09:00:00+01:00 }

[[step]]
message = "The evening's work"
date = 2026-01-05T03:04:05+01:00
author = "Odile"
email = "odile@example.org"
files = "two"
committed = false
"""


@pytest.fixture(autouse=True)
def no_other_repository(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in [name for name in os.environ if binds(name)]:
        monkeypatch.delenv(name)
    monkeypatch.setenv("GIT_CONFIG_GLOBAL", os.devnull)
    monkeypatch.setenv("GIT_CONFIG_NOSYSTEM", "1")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    sample = tmp_path / "sample"
    for name, text in {
        "one/m.ini": "a = 1\r\n",
        "one/old.ini": "",
        "one/fan.ini": "[fan]\npin = PA1\n",
        "two/m.ini": "a = 2\n",
        "two/new.ini": "",
        "two/notes.toml": "",
    }.items():
        (sample / name).parent.mkdir(parents=True, exist_ok=True)
        (sample / name).write_bytes(text.encode())
    (sample / "history.toml").write_text(HISTORY)
    made = tmp_path / "made"
    made.mkdir()
    write_story(load_story(sample), made)
    return made


def git(folder: Path, *arguments: str) -> list[str]:
    done = subprocess.run(["git", *arguments], cwd=folder, check=True, capture_output=True, text=True)
    return done.stdout.splitlines()


def test_commits(folder: Path) -> None:
    assert git(folder, "log", "--reverse", "--format=%an <%ae>|%cn|%aI|%cI|%s") == [
        "Odile <odile@example.org>|Odile|2026-01-02T03:04:05+01:00|2026-01-02T03:04:05+01:00|Begin",
        "Per <per@example.org>|Per|2026-01-03T03:04:05-05:30|2026-01-03T03:04:05-05:30|Rename and remove",
    ]
    assert git(folder, "log", "-1", "--format=%b", "HEAD~1")[0] == "With a body."
    assert git(folder, "branch", "--show-current") == ["work"]


def test_what_a_step_does_to_files(folder: Path) -> None:
    assert git(folder, "show", "--format=", "--name-status", "--find-renames", "HEAD") == [
        "D\told.ini",
        "R100\tfan.ini\tparts/fan.ini",
    ]
    assert (
        subprocess.run(["git", "show", "HEAD:m.ini"], cwd=folder, capture_output=True, check=True).stdout
        == b"a = 1\r\n"
    )


def test_what_stays_uncommitted(folder: Path) -> None:
    assert git(folder, "status", "--porcelain") == [" M m.ini", "?? new.ini"]
    assert not (folder / "notes.toml").exists(), "only the machine's files are copied"


def test_marks(folder: Path) -> None:
    form = "--format=%(refname:short)|%(contents:subject)|%(taggerdate:iso-strict)|%(*objectname)"
    (mark,) = git(folder, "for-each-ref", form, "refs/tags")
    (head,) = git(folder, "rev-parse", "HEAD")
    name, note, date, target = mark.split("|")
    assert (note, date, target) == ("a day of prints", "2026-01-04T09:00:00+01:00", head)
    assert name


def test_what_binds_git() -> None:
    """All that git itself says to bind it to one repository, and not where git itself is."""
    named = git(Path.cwd(), "rev-parse", "--local-env-vars")
    assert "GIT_DIR" in named
    assert all(map(binds, named))
    assert not any(map(binds, ("GIT_EXEC_PATH", "GIT_PYTHON_GIT_EXECUTABLE", "PATH", "HOME")))
