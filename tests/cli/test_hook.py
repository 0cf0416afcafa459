"""``init --hook``: a git hook that checks what a commit would have, run by real commits."""

from __future__ import annotations

import os
import shlex
import shutil
import stat
import subprocess
import sys
import venv
from collections.abc import Callable
from pathlib import Path

import pytest

from cli.conftest import Runs
from cli.program import PACKAGE, Ran, contents, ended, write

Git = Callable[..., str]
MACHINE = """\
[heater bed]
heat pin = PA1
thermistor pin = PA2
lowest temp = 5
highest temp = 110
"""
FAULTY = MACHINE.replace("= 5", "= 300")
"""The lowest temperature is above the highest, which stands in line 5."""
RULE = "limits-inverted"


@pytest.fixture
def machine(here: Path, git: Git, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A committed machine in a folder of the repository, beside a text that is none of it."""
    monkeypatch.setenv("PYTHONPATH", str(PACKAGE.parent))
    write(here, {"mill/oven.ini": MACHINE, "readme.txt": "first\n"})
    git("add", ".")
    git("commit", "--quiet", "--message=first")
    return here / "mill" / "oven.ini"


def commit(folder: Path, *words: str) -> Ran:
    done = subprocess.run(
        ["git", "commit", "--quiet", "--message=next", *words], cwd=folder, capture_output=True, check=False
    )
    return ended(done.returncode, done.stdout, done.stderr)


def refused(ran: Ran) -> bool:
    """Whether a commit was refused with the finding's line and rule."""
    said = ran.out + ran.err
    return ran.status == 1 and "oven.ini" in said and "5:16" in said and RULE in said


def test_it_is_a_program_of_a_plain_shell(run: Runs, machine: Path, here: Path) -> None:
    ran = run("init", "--hook", "mill")
    hook = here / ".git" / "hooks" / "pre-commit"
    assert (ran.status, ran.err) == (0, "")
    assert "hooks/pre-commitiswritten" in "".join(ran.out.split())
    assert hook.read_text().startswith("#!/bin/sh\n")
    assert hook.stat().st_mode & stat.S_IXUSR
    assert subprocess.run(["sh", "-n", str(hook)], check=True, capture_output=True).stderr == b""
    assert sys.executable in hook.read_text()


def test_nothing_else_is_written(run: Runs, machine: Path, here: Path) -> None:
    before = contents(here)
    run("init", "--hook", "mill")
    after = contents(here)
    assert set(after) - set(before) <= {".git/hooks", ".git/hooks/pre-commit"}
    assert {name: after[name] for name in before} == before


def test_what_is_staged_counts(run: Runs, machine: Path, here: Path, git: Git) -> None:
    """A fault that is staged is refused, though the file on disk is right; one on disk alone is not."""
    run("init", "--hook", "mill")
    machine.write_text(FAULTY)
    git("add", ".")
    machine.write_text(MACHINE)
    assert refused(commit(here))
    machine.write_text(MACHINE + "; heated from below\n")
    git("add", ".")
    machine.write_text(FAULTY)
    assert commit(here).status == 0
    assert git("show", "HEAD:mill/oven.ini") == MACHINE + "; heated from below\n"


def test_commit_all_and_commit_of_one_file(run: Runs, machine: Path, here: Path, git: Git) -> None:
    """Both make an index of their own for the commit."""
    run("init", "--hook", "mill")
    machine.write_text(FAULTY)
    write(here, {"readme.txt": "second\n"})
    assert refused(commit(here, "--all"))
    assert refused(commit(here, "mill/oven.ini"))
    assert commit(here, "readme.txt").status == 0, "the fault is no part of this commit"
    assert git("show", "HEAD:mill/oven.ini") == MACHINE


def test_from_a_subfolder(run: Runs, machine: Path, here: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(machine.parent)
    assert run("init", "--hook").status == 0
    machine.write_text(FAULTY)
    assert refused(commit(machine.parent, "--all"))
    assert refused(commit(machine.parent, "oven.ini"))
    machine.write_text(MACHINE + "\n")
    assert commit(machine.parent, "--all").status == 0


def test_in_a_linked_work_tree(run: Runs, machine: Path, here: Path, git: Git) -> None:
    """All work trees share the hook; each commit is checked by its own index."""
    git("worktree", "add", "--quiet", "-b", "other", "../linked")
    linked = here.parent / "linked"
    assert run("init", "--hook", str(linked / "mill")).status == 0
    assert (here / ".git" / "hooks" / "pre-commit").exists()
    (linked / "mill" / "oven.ini").write_text(FAULTY)
    assert refused(commit(linked, "--all"))
    assert refused(commit(linked / "mill", "oven.ini"))
    machine.write_text(MACHINE + "\n")
    assert commit(here, "--all").status == 0
    (linked / "mill" / "oven.ini").write_text(MACHINE + "\n")
    assert commit(linked, "--all").status == 0


def test_the_first_commit(run: Runs, here: Path, git: Git, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PYTHONPATH", str(PACKAGE.parent))
    write(here, {"oven.ini": FAULTY})
    assert run("init", "--hook").status == 0
    git("add", ".")
    assert refused(commit(here))
    write(here, {"oven.ini": MACHINE})
    git("add", ".")
    assert commit(here).status == 0


@pytest.mark.parametrize("name", ['it\'s $HOME `x` "y"', "-n", "größe"])
def test_odd_names(run: Runs, here: Path, git: Git, monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    monkeypatch.setenv("PYTHONPATH", str(PACKAGE.parent))
    write(here, {f"{name}/oven.ini": FAULTY})
    assert run("init", "--hook", f"./{name}/oven.ini").status == 0
    git("add", ".")
    assert refused(commit(here))


@pytest.mark.parametrize("taken", ["file", "folder", "link", "dangling link"])
def test_an_existing_hook_is_never_touched(run: Runs, machine: Path, here: Path, taken: str) -> None:
    target = here / ".git" / "hooks" / "pre-commit"
    target.parent.mkdir(exist_ok=True)
    if taken == "file":
        target.write_text("# mine\n")
    elif taken == "folder":
        target.mkdir()
    else:
        target.symlink_to("mine" if taken == "dangling link" else here / "readme.txt")
    before = contents(here)
    ran = run("init", "--hook", "mill")
    assert (ran.status, ran.out, ran.err.count("\n")) == (2, "", 1)
    assert "pre-commit exists already" in ran.err
    assert "cfgaudit check --staged --changes mill/oven.ini" in ran.err
    assert contents(here) == before
    assert not (target.parent / "mine").exists()


@pytest.mark.parametrize("where", ["../shared hooks", "/nowhere/at/all", ""])
def test_hooks_that_git_looks_for_elsewhere(
    run: Runs, machine: Path, here: Path, git: Git, where: str
) -> None:
    git("config", "core.hooksPath", where)
    before = contents(here)
    ran = run("init", "--hook", "mill")
    assert (ran.status, ran.out, ran.err.count("\n")) == (2, "", 1)
    assert "core.hooksPath" in ran.err
    assert where in ran.err
    assert contents(here) == before


def test_hooks_that_the_user_has_elsewhere_everywhere(
    run: Runs, machine: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """``core.hooksPath`` in a file that the user's own configuration includes."""
    write(
        tmp_path, {"user": f"[include]\npath = {tmp_path}/more\n", "more": "[core]\nhooksPath = /my/hooks\n"}
    )
    monkeypatch.setenv("GIT_CONFIG_GLOBAL", str(tmp_path / "user"))
    ran = run("init", "--hook", "mill")
    assert (ran.status, ran.out, ran.err.count("\n")) == (2, "", 1)
    assert "/my/hooks" in ran.err


def test_no_repository(run: Runs, here: Path) -> None:
    write(here, {"oven.ini": MACHINE})
    ran = run("init", "--hook")
    assert (ran.status, ran.out, ran.err.count("\n")) == (2, "", 1)
    assert "git init" in ran.err


def test_a_repository_without_a_folder_for_hooks(run: Runs, machine: Path, here: Path) -> None:
    shutil.rmtree(here / ".git" / "hooks", ignore_errors=True)
    assert run("init", "--hook", "mill").status == 0
    machine.write_text(FAULTY)
    assert refused(commit(here, "--all"))


@pytest.fixture
def moved(run: Runs, machine: Path, here: Path) -> Path:
    """A hook whose program is gone."""
    run("init", "--hook", "mill")
    hook = here / ".git" / "hooks" / "pre-commit"
    hook.write_text(hook.read_text().replace(sys.executable, "/gone/python"))
    return machine


def test_the_program_is_sought_where_it_was_moved_to(
    moved: Path, here: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write(tmp_path, {"bin/cfgaudit": f'#!/bin/sh\nexec {sys.executable} -m cfgaudit "$@"\n'})
    (tmp_path / "bin" / "cfgaudit").chmod(0o755)
    monkeypatch.setenv("PATH", f"{tmp_path}/bin{os.pathsep}{os.environ['PATH']}")
    moved.write_text(FAULTY)
    assert refused(commit(here, "--all"))


@pytest.fixture
def no_other(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """The search path holds git and a shell only."""
    for name in ("git", "sh"):
        found = shutil.which(name)
        assert found is not None
        (tmp_path / name).symlink_to(found)
    monkeypatch.setenv("PATH", str(tmp_path))


def nothing_passes(machine: Path, here: Path) -> None:
    """Nothing was checked, so nothing is committed; one line says what to do."""
    machine.write_text(MACHINE + "\n")
    ran = commit(here, "--all")
    assert (ran.status, ran.out, ran.err.count("\n")) == (1, "", 1)
    assert "cfgaudit is not found" in ran.err
    assert "delete .git/hooks/pre-commit" in ran.err
    assert "cfgaudit init --hook" in ran.err
    assert "--no-verify" in ran.err
    assert commit(here, "--all", "--no-verify").status == 0


@pytest.mark.usefixtures("no_other")
def test_the_program_is_gone(moved: Path, here: Path) -> None:
    nothing_passes(moved, here)


@pytest.mark.usefixtures("no_other")
@pytest.mark.parametrize("called", ["module", "script"])
def test_its_interpreter_lost_the_package(
    run: Runs, machine: Path, here: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, called: str
) -> None:
    """As after an upgrade of the interpreter: it runs, and the package is not there; nor is its script's."""
    run("init", "--hook", "mill")
    venv.create(tmp_path / "bare", with_pip=False)
    bare = tmp_path / "bare" / "bin" / "python"
    script = tmp_path / "bare" / "bin" / "cfgaudit"
    script.write_text(f"#!{bare}\nfrom cfgaudit.cli.main import main\nmain()\n")
    script.chmod(0o755)
    hook = here / ".git" / "hooks" / "pre-commit"
    start = shlex.join([sys.executable, "-P", "-m", "cfgaudit"])
    assert start in hook.read_text()
    now = shlex.join([str(bare), "-P", "-m", "cfgaudit"]) if called == "module" else str(script)
    hook.write_text(hook.read_text().replace(start, now))
    monkeypatch.delenv("PYTHONPATH")
    nothing_passes(machine, here)
