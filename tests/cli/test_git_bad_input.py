"""Repositories as they should not be, and as hooks see them: one clear line, or the right answer."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from cfgaudit.cli.main import COMMANDS
from cli.conftest import Runs
from cli.over_git import from_the_last_mark, over_git
from cli.program import PACKAGE, Ran, contents, process, write
from cli.test_bad_input import refuse

Git = Callable[..., str]
MAIN = "[x axis]\ntop acceleration = 3000\ntop speed = 200\n"
FAULT = "[x axis]\ntop speed = 200\nlowest = 300\nhighest = 10\n"
STATES = [line for line in over_git() if not line.startswith("check --")]
"""The commands that need a repository; check alone may do without a mark."""


@pytest.fixture
def machine(here: Path, git: Git) -> Path:
    write(here, {"main.ini": MAIN})
    git("add", ".")
    git("commit", "-qm", "first")
    git("tag", "-m", "a vase", "good/2026-11-10")
    git("commit", "-q", "--allow-empty", "-m", "second")
    return here


def one_line(ran: Ran, *names: str) -> None:
    """The run ended as bad input must."""
    assert (ran.status, ran.out) == (2, ""), ran
    assert ran.err.count("\n") == 1, ran
    assert ran.err.startswith("cfgaudit: ")
    assert ": " in ran.err.removeprefix("cfgaudit: "), "what to do follows a colon"
    for name in names:
        assert name in ran.err


@pytest.mark.parametrize("line", STATES)
def test_no_repository(run: Runs, here: Path, line: str) -> None:
    write(here, {"main.ini": MAIN})
    refuse(run, here, line, f"{here} lies in no git repository: run git init there")


@pytest.mark.parametrize("line", STATES)
def test_no_git(machine: Path, tmp_path: Path, line: str) -> None:
    nothing = tmp_path / "nothing"
    nothing.mkdir()
    one_line(
        process(*line.split(), cwd=machine, env={"PATH": str(nothing)}), "git is not installed: install it"
    )


@pytest.mark.parametrize("line", from_the_last_mark())
def test_no_mark_and_no_commit(run: Runs, here: Path, git: Git, line: str) -> None:
    write(here, {"main.ini": MAIN})
    refuse(run, here, line, "no commit yet: git commit, then mark one", "cfgaudit mark -m")
    git("add", ".")
    git("commit", "-qm", "first")
    refuse(
        run, here, line, "no commit of this branch is marked", "mark one after a good print: cfgaudit mark -m"
    )


@pytest.mark.parametrize("line", STATES)
def test_a_bare_repository(run: Runs, machine: Path, tmp_path: Path, git: Git, line: str) -> None:
    git("clone", "-q", "--bare", ".", str(tmp_path / "bare.git"))
    ran = process(*line.split(), cwd=tmp_path / "bare.git")
    one_line(ran, "is a bare repository, which has no files on disk: git clone it")


@pytest.mark.parametrize("line", from_the_last_mark())
def test_a_shallow_clone(machine: Path, tmp_path: Path, git: Git, line: str) -> None:
    git("clone", "-q", "--depth=1", f"file://{machine}", str(tmp_path / "shallow"))
    one_line(process(*line.split(), cwd=tmp_path / "shallow"), "run git fetch --unshallow --tags")


@pytest.mark.parametrize("line", STATES)
def test_another_owner(machine: Path, line: str) -> None:
    """With git's own switch for testing this."""
    ran = process(*line.split(), cwd=machine, env={"GIT_TEST_ASSUME_DIFFERENT_OWNER": "1"})
    one_line(ran, f"another user ({machine.owner()})", f"git config --global --add safe.directory {machine}")


def test_a_link_into_a_repository(machine: Path, tmp_path: Path, run: Runs) -> None:
    """A main file outside any repository that leads into one, and a folder that does."""
    (tmp_path / "aside").mkdir()
    (tmp_path / "aside" / "main.ini").symlink_to(machine / "main.ini")
    (tmp_path / "way").symlink_to(machine)
    one_line(process("marks", "--main", "main.ini", cwd=tmp_path / "aside"))
    assert process("marks", "--main", "way/main.ini", cwd=tmp_path).out.startswith("good/2026-11-10")


def test_a_broken_repository(run: Runs, machine: Path, git: Git) -> None:
    name = git("rev-parse", "good/2026-11-10").strip()
    (machine / ".git" / "objects" / name[:2] / name[2:]).unlink()
    refuse(run, machine, "marks", "git")


def test_a_repository_that_may_not_be_written(run: Runs, machine: Path, git: Git) -> None:
    """A lock that another git left behind."""
    lock = machine / ".git" / "refs" / "tags" / "good"
    for name in ("2026-11-25", *(f"2026-11-25.{number}" for number in range(2, 200))):
        (lock / f"{name}.lock").touch()
    environment = {"GIT_COMMITTER_DATE": "2026-11-25T10:00:00Z"}
    one_line(process("mark", "-m", "fine", cwd=machine, env=environment), "lock")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("", "names no commit"),
        ("main.ini", "the main file goes with --main main.ini"),
        ("HEAD~1..HEAD", "a range"),
        ("nowhere", "names no commit"),
        ("blob", "names no commit"),
    ],
)
@pytest.mark.parametrize("command", ["changes", "suspects ringing"])
def test_from_and_to_that_are_none(
    run: Runs, machine: Path, git: Git, command: str, words: str, told: str
) -> None:
    if command.split()[0] not in COMMANDS:
        pytest.skip("not there yet")
    git("tag", "-m", "x", "blob", "HEAD:main.ini")
    one_line(run(*command.split(), words), told)
    one_line(run(*command.split(), "HEAD", words), told)


HOOK = f"""#!/bin/sh
PYTHONPATH={PACKAGE.parent} exec {sys.executable} -m cfgaudit %s
"""


def install_hook(top: Path, command: str) -> None:
    folder = Path(
        subprocess.run(
            ["git", "rev-parse", "--git-path", "hooks"], cwd=top, check=True, capture_output=True, text=True
        ).stdout.strip()
    )
    hook = top / folder / "pre-commit"
    hook.parent.mkdir(parents=True, exist_ok=True)
    hook.write_text(HOOK % command)
    hook.chmod(0o755)


def commit(folder: Path, *words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        ["git", "commit", "-qm", "x", *words], cwd=folder, check=False, capture_output=True, text=True
    )


@pytest.fixture(params=["main", "linked"])
def top(here: Path, git: Git, tmp_path: Path, request: pytest.FixtureRequest) -> Path:
    """A work tree with the machine in a subfolder; a linked one is bound to its repository by GIT_DIR."""
    write(here, {"sub/main.ini": "%include part.ini\n", "sub/part.ini": MAIN})
    git("add", ".")
    git("commit", "-qm", "first")
    git("tag", "-m", "a vase", "good/2026-11-10")
    if request.param == "main":
        return here
    git("worktree", "add", "-q", "--detach", str(tmp_path / "linked"))
    return tmp_path / "linked"


@pytest.mark.parametrize("command", ["check --staged sub/", "check --staged sub/main.ini"])
def test_a_hook_checks_what_is_staged(top: Path, command: str) -> None:
    install_hook(top, command)
    write(top, {"sub/part.ini": FAULT})
    subprocess.run(["git", "add", "."], cwd=top, check=True)
    write(top, {"sub/part.ini": MAIN})
    done = commit(top)
    assert done.returncode == 1, "the staged fault"
    assert "part.ini\n\n  4:11" in done.stdout + done.stderr
    subprocess.run(["git", "add", "."], cwd=top, check=True)
    write(top, {"sub/part.ini": FAULT})
    assert commit(top, "--allow-empty").returncode == 0, "the fault is on disk only"


def test_a_commit_of_named_files_has_an_index_of_its_own(top: Path) -> None:
    """``git commit FILE`` runs the hook with another index than the usual one."""
    install_hook(top, "check --staged sub/")
    write(top, {"sub/part.ini": FAULT, "other.txt": "x\n"})
    subprocess.run(["git", "add", "other.txt"], cwd=top, check=True)
    for folder, name in ((top, "sub/part.ini"), (top / "sub", "part.ini")):
        done = commit(folder, name)
        assert done.returncode == 1, done
        assert "part.ini\n\n  4:11" in done.stdout + done.stderr
    subprocess.run(["git", "add", "sub/part.ini"], cwd=top, check=True)
    write(top, {"sub/part.ini": MAIN + "; quick\n"})
    assert commit(top, "sub/part.ini").returncode == 0, "the fault is in the usual index only"


@pytest.mark.parametrize("line", ["marks --main sub", "gate sub --staged"])
def test_commands_over_git_in_a_hook(top: Path, line: str) -> None:
    if line.split()[0] not in COMMANDS:
        pytest.skip("not there yet")
    install_hook(top, line)
    write(top, {"sub/part.ini": MAIN + "; more\n"})
    subprocess.run(["git", "add", "."], cwd=top, check=True)
    done = commit(top)
    assert done.returncode == 0, done
    assert "good/2026-11-10" in done.stdout + done.stderr


@pytest.mark.parametrize("relative", [True, False])
@pytest.mark.parametrize("line", ["check --staged sub/", "check --rev HEAD sub/", "marks --main sub"])
def test_a_repository_that_the_environment_names(
    here: Path, git: Git, tmp_path: Path, line: str, relative: bool
) -> None:
    """git's folder is elsewhere, and GIT_DIR, GIT_WORK_TREE and GIT_INDEX_FILE say where."""
    write(here, {"sub/main.ini": "%include part.ini\n", "sub/part.ini": MAIN})
    git("add", ".")
    git("commit", "-qm", "first")
    git("tag", "-m", "a vase", "good/2026-11-10")
    shutil.move(here / ".git", tmp_path / "store")
    shutil.move(tmp_path / "store" / "index", tmp_path / "store" / "other-index")
    store = "../store" if relative else str(tmp_path / "store")
    for more in ({}, {"GIT_WORK_TREE": "." if relative else str(here)}, {"GIT_PREFIX": "sub/"}):
        env = {"GIT_DIR": store, "GIT_INDEX_FILE": f"{store}/other-index", **more}
        ran = process(*line.split(), cwd=here, env=env)
        assert (ran.status, ran.err) == (0, ""), ran


def test_a_folder_that_is_not_where_the_environment_says(here: Path, git: Git, tmp_path: Path) -> None:
    write(tmp_path / "aside", {"main.ini": MAIN})
    git("commit", "-q", "--allow-empty", "-m", "x")
    ran = process("marks", "--main", "../aside/main.ini", cwd=here, env={"GIT_DIR": ".git"})
    one_line(ran, "GIT_DIR is set", "does not lie: unset GIT_DIR")
    ran = process("marks", "--main", "../aside/main.ini", cwd=here, env={"GIT_DIR": "nothing"})
    one_line(ran, f"git looks in {here / 'nothing'}, which is no repository: unset GIT_DIR")


def test_nothing_is_written_by_what_only_reads(run: Runs, machine: Path) -> None:
    before = contents(machine)
    for line in over_git():
        if not line.startswith("mark "):
            assert run(*line.split()).status in (0, 1), line
    assert contents(machine) == before


def test_a_path_that_is_no_text(run: Runs, machine: Path, git: Git) -> None:
    odd = os.fsdecode(b"m\xffn.ini")
    (machine / "main.ini").rename(machine / odd)
    git("add", "--all")
    git("commit", "-qm", "renamed")
    write(machine, {odd: MAIN.replace("3000", "4000")})
    ran = process(*map(os.fsencode, ("mark", "-m", "fine", "--main", odd)), cwd=machine)
    one_line(ran, "m\\xffn.ini is not as in the last commit")
    ran = process(*map(os.fsencode, ("marks", "--main", odd)), cwd=machine)
    assert ran.status == 0
    assert "1 change to the working tree" in " ".join(ran.out.split())
