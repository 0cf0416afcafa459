"""Plans of what to print, against ``git bisect run`` on the same history: the same commit is to blame."""

from __future__ import annotations

import os
import subprocess
from pathlib import Path

import pytest
from history.change_making import accel, commit
from history.real_git import git

from cfgaudit.history.blame.bisect import Outcome, Trial, plan
from cfgaudit.history.blame.suspects import rank
from cfgaudit.history.blame.symptoms import load_symptom
from cfgaudit.history.change import Commit, Revision
from cfgaudit.history.git.line import line_between
from cfgaudit.history.git.repository import Repository
from cfgaudit.source import SourceError


def write_commit(folder: Path, name: str, value: int) -> str:
    (folder / f"{name}.ini").write_text(f"[axis {name}]\naccel = {value}\n")
    git(folder, "add", ".")
    git(folder, "commit", "--quiet", f"--message={name} to {value}")
    return git(folder, "rev-parse", "HEAD")


def blamed_by_git(folder: Path, good: str, bad: str, culprit: str) -> str:
    """The first commit in which the culprit's file stands, by git's own halving."""
    git(folder, "bisect", "start", bad, good)
    subprocess.run(
        ["git", "bisect", "run", "sh", "-c", f"! test -e {culprit}.ini"],
        cwd=folder, check=True, capture_output=True,
    )  # fmt: skip
    found = git(folder, "rev-parse", "refs/bisect/bad")
    git(folder, "bisect", "reset")
    return found


def has_file(folder: Path, revision: str, name: str) -> bool:
    return bool(git(folder, "ls-tree", "--name-only", revision, "--", f"{name}.ini"))


def blamed_by_plan(folder: Path, good: str, bad: str, made: dict[str, str], culprit: str) -> str:
    changes = [accel(name, "1000", "2000", commits=(_commit(one),)) for name, one in made.items()]
    suspects = rank(changes, load_symptom("ringing"))
    line = line_between(Repository(folder), good, Revision("the end", bad))
    outcome: Outcome = plan(suspects, line).first
    while isinstance(outcome, Trial):
        assert outcome.stop is not None
        assert outcome.stop.revision.commit is not None
        is_bad = has_file(folder, outcome.stop.revision.commit, culprit)
        outcome = outcome.bad if is_bad else outcome.good
    (left,) = outcome.suspects
    return left.change.commits[-1].id


def _commit(one: str) -> Commit:
    return commit(0)._replace(id=one)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty repository, and nothing of the user's configuration."""
    monkeypatch.setenv("GIT_CONFIG_GLOBAL", os.devnull)
    monkeypatch.setenv("GIT_CONFIG_NOSYSTEM", "1")
    git(tmp_path, "init", "--quiet", "--initial-branch=work")
    return tmp_path


NAMES = [f"a{number}" for number in range(9)]


@pytest.fixture
def history(folder: Path) -> tuple[Path, str, dict[str, str]]:
    good = write_commit(folder, "start", 1)
    made = {}
    for number, name in enumerate(NAMES):
        made[name] = write_commit(folder, name, number)
        git(folder, "commit", "--quiet", "--allow-empty", "--message=nothing")
    return folder, good, made


@pytest.mark.parametrize("culprit", NAMES)
def test_one_line(history: tuple[Path, str, dict[str, str]], culprit: str) -> None:
    folder, good, made = history
    bad = git(folder, "rev-parse", "HEAD")
    assert made[culprit] == blamed_by_git(folder, good, bad, culprit)
    assert made[culprit] == blamed_by_plan(folder, good, bad, made, culprit)


def test_the_line_is_what_git_lists(history: tuple[Path, str, dict[str, str]]) -> None:
    folder, good, _ = history
    listed = git(folder, "rev-list", "--first-parent", "--reverse", f"{good}..HEAD").split()
    line = line_between(Repository(folder), good, Revision("the end", listed[-1]))
    assert [one.revision.commit for one in line] == listed
    assert [one.summary for one in line] == git(
        folder, "log", "--first-parent", "--reverse", "--format=%s", f"{good}..HEAD"
    ).split("\n")
    with_work = line_between(Repository(folder), good, Revision("working tree", None))
    assert [one.revision.commit for one in with_work] == [*listed, None]


def test_a_merge_brings_what_its_branch_made(folder: Path) -> None:
    """After ``git rev-list A ^B``: what a merge has and its first parent has not."""
    good = write_commit(folder, "start", 1)
    git(folder, "switch", "--quiet", "--create", "side")
    sides = {write_commit(folder, "b1", 1), write_commit(folder, "b2", 2)}
    git(folder, "switch", "--quiet", "work")
    own = write_commit(folder, "a1", 1)
    git(folder, "merge", "--quiet", "--no-ff", "--no-edit", "side")
    merge = git(folder, "rev-parse", "HEAD")
    line = line_between(Repository(folder), good, Revision("the end", merge))
    assert [one.revision.commit for one in line] == [own, merge]
    assert line[1].brings == set(git(folder, "rev-list", merge, f"^{own}").split()) == {*sides, merge}


def test_a_start_on_the_merged_branch_leads_along_it(folder: Path) -> None:
    """Only commits that hold the start (``git rev-list --ancestry-path``) can be tried."""
    write_commit(folder, "start", 1)
    git(folder, "switch", "--quiet", "--create", "side")
    good = write_commit(folder, "b1", 1)
    second = write_commit(folder, "b2", 2)
    git(folder, "switch", "--quiet", "work")
    write_commit(folder, "a1", 1)
    git(folder, "merge", "--quiet", "--no-ff", "--no-edit", "side")
    merge = git(folder, "rev-parse", "HEAD")
    line = line_between(Repository(folder), good, Revision("the end", merge))
    assert [one.revision.commit for one in line] == [second, merge]
    assert set(git(folder, "rev-list", "--ancestry-path", f"{good}..{merge}").split()) == {second, merge}


def test_what_does_not_come_from_the_start(folder: Path) -> None:
    start = write_commit(folder, "start", 1)
    git(folder, "switch", "--quiet", "--create", "side")
    side = write_commit(folder, "b1", 1)
    git(folder, "switch", "--quiet", "work")
    own = write_commit(folder, "a1", 1)
    with pytest.raises(SourceError, match="does not come from"):
        line_between(Repository(folder), side, Revision("the end", own))
    assert line_between(Repository(folder), start, Revision("the start", start)) == ()


def test_each_stop_says_what_git_says_of_it(folder: Path) -> None:
    """A summary is one line for git, whatever other separators it holds."""
    start = write_commit(folder, "start", 1)
    git(folder, "commit", "--quiet", "--allow-empty", "--message=faster\u2028and\x85warmer\n\nby a bit")
    end = git(folder, "rev-parse", "HEAD")
    (stop,) = line_between(Repository(folder), start, Revision("the end", end))
    assert stop.summary == git(folder, "log", "-1", "--format=%s")
    assert stop.revision.label == f"commit {end[:7]}"
