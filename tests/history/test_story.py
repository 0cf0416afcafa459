"""A sample's history made into a repository: what git itself says of it is what the steps say."""

from __future__ import annotations

import os
import subprocess
import tomllib
from datetime import datetime
from pathlib import Path

import pytest

from cfgaudit.data import data_folder
from cfgaudit.history.story import binds, load_story, write_story

HISTORY = """\
main = "m.ini"
branch = "work"

[[step]]
message = "Begin\\n\\nWith a body."
date = 2026-01-02T03:04:05+01:00
author = "Odile"
email = "odile@example.org"
files = ["one", "other/parts/lid.ini"]

[[step]]
message = "Rename and remove"
date = 2026-01-03T03:04:05-05:30
author = "Per"
email = "per@example.org"
remove = ["old.ini"]
move = [["fan.ini", "parts/fan.ini"]]

[step.mark]
note = "a day of prints"
date = 2026-01-04T09:00:00+01:00
measured = [["lid", "0.2 mm"], ["a b", "1=2"]]

[[step]]
message = "The evening's work"
date = 2026-01-05T03:04:05+01:00
author = "Odile"
email = "odile@example.org"
files = ["two"]
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
        "other/parts/lid.ini": "[fan lid]\n",
        "other/left.ini": "",
        "two/m.ini": "a = 2\n",
        "two/new.ini": "",
        "two/notes.toml": "",
        "two/evidence/seen.toml": "form = 1\n",
        "two/evidence/raw.csv": "",
        "two/parts/evidence/else.toml": "",
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


def test_what_a_step_copies(folder: Path) -> None:
    """A folder's files of the machine, and single files; of both the path below the folder."""
    assert git(folder, "ls-tree", "-r", "--name-only", "HEAD~1") == [
        "fan.ini",
        "m.ini",
        "old.ini",
        "parts/lid.ini",
    ]


def test_what_stays_uncommitted(folder: Path) -> None:
    changed = git(folder, "status", "--porcelain", "--untracked-files=all")
    assert changed == [" M m.ini", "?? evidence/seen.toml", "?? new.ini"], (
        "the machine, and what was measured"
    )


def test_marks(folder: Path) -> None:
    form = "--format=%(refname:short)|%(contents:subject)|%(taggerdate:iso-strict)|%(*objectname)"
    (mark,) = git(folder, "for-each-ref", form, "refs/tags")
    (head,) = git(folder, "rev-parse", "HEAD")
    name, note, date, target = mark.split("|")
    assert (name, note, date, target) == (
        "good/2026-01-04",
        "a day of prints",
        "2026-01-04T09:00:00+01:00",
        head,
    )


def test_what_was_measured(folder: Path) -> None:
    (message,) = subprocess.run(
        ["git", "for-each-ref", "--format=%(contents)", "refs/tags"],
        cwd=folder,
        check=True,
        capture_output=True,
    ).stdout.split(b"\0")
    told = subprocess.run(
        ["git", "interpret-trailers", "--parse"], cwd=folder, check=True, capture_output=True, input=message
    )
    assert told.stdout == b"Measured: lid=0.2 mm\nMeasured: a b=1=2\n"


def test_what_binds_git() -> None:
    """All that git itself says to bind it to one repository, and not where git itself is."""
    named = git(Path.cwd(), "rev-parse", "--local-env-vars")
    assert "GIT_DIR" in named
    assert all(map(binds, named))
    assert not any(map(binds, ("GIT_EXEC_PATH", "GIT_PYTHON_GIT_EXECUTABLE", "PATH", "HOME")))


HERON = data_folder("samples") / "heron"
IDS = """\
2bcd036e6b1c22e2d761407163d3dce338fee26d
ac5b95cb585e9720fac29935f79f2459a913e9c4
1ea6ad04a0c0e99beff5641bcd5b1bf14eebf7c0
51cb918085c5bf2d70bd57ae2e209081aed98b52
31b0dfb7ced12ad5aeb863f45d6a5edaf0082f7f
292ba039be5a226dca5b05b8d6b942bd5fb80923
ad7d4072be878b665bb1e65c95947e49f958f618
0ab0f5fc3347fd4259b93c93e0826cba0658ed16
8deb56c0e71b3169030e885e4533ffa19dc7026c
2898528366ded4bc6ae13d708dbae0fbd1ecf3bc
db918dc65a2797e98bc9b4903d992526527d33cd
2dea371ebea8cae41bf7334866d3b0978649e00f
d9d59fcb7acf2b9df8480f2a6c0a98557d61579a good/2026-10-05
143895b69c17fe96dc32edd5a6776219c6e861e3 good/2026-11-10
"""
"""Heron's commits, the oldest first, and its marks, as `plain_git` made them from the steps."""


def test_heron_is_the_same_on_every_machine(tmp_path: Path) -> None:
    write_story(load_story(HERON), tmp_path)
    ids = git(tmp_path, "rev-list", "--reverse", "HEAD")
    ids += git(tmp_path, "for-each-ref", "--format=%(objectname) %(refname:short)", "refs/tags")
    assert ids == IDS.splitlines()


def test_heron_is_what_plain_git_makes_of_the_steps(tmp_path: Path) -> None:
    """No commit command, no tag command: only objects, each made of the files and of the steps' words."""
    assert plain_git(tmp_path) == IDS.splitlines()


def plain_git(folder: Path) -> list[str]:
    git(folder, "init", "--quiet", "--object-format=sha1")
    commits: list[str] = []
    tags: list[str] = []
    for step in tomllib.loads((HERON / "history.toml").read_text("utf-8"))["step"][:-1]:
        for path in step.get("remove", []):
            git(folder, "update-index", "--force-remove", path)
        for old, new in step.get("move", []):
            (entry,) = git(folder, "ls-files", "--stage", old)
            git(folder, "update-index", "--force-remove", old)
            git(folder, "update-index", "--add", "--cacheinfo", f"100644,{entry.split()[1]},{new}")
        for name in step["files"]:
            for path, origin in copied(name):
                (blob,) = git(folder, "hash-object", "-w", "--no-filters", str(origin))
                git(folder, "update-index", "--add", "--cacheinfo", f"100644,{blob},{path}")
        (tree,) = git(folder, "write-tree")
        who = f"{step['author']} <{step['email']}>"
        when = seconds(step["date"])
        parent = f"parent {commits[-1]}\n" if commits else ""
        text = f"tree {tree}\n{parent}author {who} {when}\ncommitter {who} {when}\n\n"
        commits.append(stored(folder, "commit", f"{text}{step['message'].strip()}\n"))
        if mark := step.get("mark"):
            name = f"good/{mark['date']:%Y-%m-%d}"
            head = f"object {commits[-1]}\ntype commit\ntag {name}\ntagger {who} {seconds(mark['date'])}\n\n"
            told = "".join(f"Measured: {what}={value}\n" for what, value in mark["measured"])
            tag = stored(folder, "tag", f"{head}{mark['note']}\n\n{told}")
            tags.append(f"{tag} {name}")
    return commits + tags


def copied(name: str) -> list[tuple[str, Path]]:
    folder = HERON / name.partition("/")[0]
    paths = [HERON / name] if "/" in name else [*folder.rglob("*.ini"), *folder.glob("evidence/*.toml")]
    return [(path.relative_to(folder).as_posix(), path) for path in sorted(paths)]


def seconds(date: datetime) -> str:
    return f"{int(date.timestamp())} {date:%z}"


def stored(folder: Path, kind: str, text: str) -> str:
    done = subprocess.run(
        ["git", "hash-object", "-t", kind, "-w", "--stdin"],
        cwd=folder,
        check=True,
        capture_output=True,
        input=text.encode(),
    )
    return done.stdout.decode().strip()
