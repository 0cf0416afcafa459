"""The hook for the pre-commit framework, run by the real one in temporary repositories."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from cli.program import PACKAGE, Ran, ended, write

ROOT = PACKAGE.parent
HOOKS = ROOT / ".pre-commit-hooks.yaml"
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

pytestmark = pytest.mark.skipif(not HOOKS.exists(), reason="the hook's definition stands in a checkout only")


@pytest.fixture
def machine(here: Path, git: Git, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A committed machine; the framework keeps what it makes in a temporary folder."""
    pytest.importorskip("pre_commit", reason="pre-commit is not installed")
    home = tmp_path / "home"
    home.mkdir()
    for name in ("HOME", "PRE_COMMIT_HOME"):
        monkeypatch.setenv(name, str(home))
    write(here, {"oven.ini": MACHINE, "readme.txt": "first\n"})
    return here / "oven.ini"


def local(here: Path, git: Git, arguments: str = "[]") -> None:
    """The hook's own definition, but with the program that these tests run in."""
    import yaml

    (hook,) = yaml.safe_load(HOOKS.read_text())
    words = hook["entry"].split()
    assert words[0] == "cfgaudit"
    hook["entry"] = f"env PYTHONPATH={ROOT} {sys.executable} -m {' '.join(words)}"
    hook["language"] = "system"
    hook["args"] = yaml.safe_load(arguments)
    install(here, {"repos": [{"repo": "local", "hooks": [hook]}]})
    git("add", ".")
    first = commit(here)
    assert first.status == 0, first


def install(here: Path, config: object) -> None:
    import yaml

    write(here, {".pre-commit-config.yaml": yaml.safe_dump(config)})
    command = [sys.executable, "-m", "pre_commit", "install"]
    subprocess.run(command, cwd=here, check=True, capture_output=True)


def commit(folder: Path, *words: str) -> Ran:
    done = subprocess.run(
        ["git", "commit", "--quiet", "--message=next", *words], cwd=folder, capture_output=True, check=False
    )
    return ended(done.returncode, done.stdout, done.stderr)


def refused(ran: Ran) -> bool:
    """Whether a commit was refused with the finding's line and rule."""
    said = ran.out + ran.err
    return ran.status == 1 and "oven.ini" in said and "5:16" in said and RULE in said


def test_a_planted_fault_is_refused_and_a_clean_commit_passes(machine: Path, here: Path, git: Git) -> None:
    local(here, git)
    machine.write_text(FAULTY)
    git("add", ".")
    assert refused(commit(here))
    machine.write_text(MACHINE + "; heated from below\n")
    git("add", ".")
    assert commit(here).status == 0
    machine.write_text(FAULTY)
    assert refused(commit(here, "--all"))
    assert refused(commit(here, "oven.ini"))
    assert git("show", "HEAD:oven.ini") == MACHINE + "; heated from below\n"


def test_a_partly_staged_file_is_judged_as_it_is_staged(machine: Path, here: Path, git: Git) -> None:
    """The framework puts aside what is not staged, and brings it back."""
    local(here, git)
    machine.write_text(FAULTY)
    git("add", ".")
    machine.write_text(MACHINE)
    assert refused(commit(here))
    assert machine.read_text() == MACHINE
    git("add", ".")
    machine.write_text(MACHINE + "; heated from below\n")
    git("add", ".")
    machine.write_text(FAULTY)
    assert commit(here).status == 0
    assert git("show", "HEAD:oven.ini") == MACHINE + "; heated from below\n"
    assert machine.read_text() == FAULTY


def test_a_file_that_only_goes_away(machine: Path, here: Path, git: Git) -> None:
    """The framework gives a hook no file for that, and would skip one that waits for files."""
    write(here, {"oven.ini": f"%include fans.ini\n{MACHINE}", "fans.ini": "[fan left]\npin = PA4\n"})
    local(here, git)
    git("rm", "--quiet", "fans.ini")
    ran = commit(here)
    assert ran.status == 1
    assert "include-missing" in ran.out + ran.err


def test_a_main_file_in_a_subfolder(here: Path, git: Git, machine: Path) -> None:
    machine.unlink()
    write(here, {"mill/oven.ini": MACHINE, "press/oven.ini": MACHINE})
    local(here, git, "[mill/oven.ini]")
    write(here, {"press/oven.ini": FAULTY})
    git("add", ".")
    assert commit(here).status == 0, "that machine is not asked for"
    write(here, {"mill/oven.ini": FAULTY})
    git("add", ".")
    assert refused(commit(here / "mill"))


def test_it_shows_what_changed_since_the_last_mark(machine: Path, here: Path, git: Git) -> None:
    """Whether the commit goes through or not."""
    local(here, git)
    git("tag", "--annotate", "--message=six hours", "good/2026-11-10")
    for text in (FAULTY, MACHINE):
        machine.write_text(text.replace("110", "100"))
        git("add", ".")
        ran = commit(here)
        assert refused(ran) if text is FAULTY else ran.status == 0
        told = ran.out + ran.err
        assert "good/2026-11-10" in told
        assert "110" in told
        assert "100" in told


@pytest.fixture(scope="module")
def published(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A git repository of the checkout's files, as the framework would clone it."""
    if not index_answers():
        pytest.skip("no package index answers, and the framework installs from one")
    folder = tmp_path_factory.mktemp("published") / "cfgaudit"
    ignored = shutil.ignore_patterns(
        ".git", ".*_cache", ".venv", "__pycache__", ".hypothesis", "dist", "build"
    )
    shutil.copytree(ROOT, folder, ignore=ignored)
    env = {key: value for key, value in os.environ.items() if not key.startswith("GIT_")}
    who = ["-c", "user.name=Odile", "-c", "user.email=odile@example.org", "-c", "commit.gpgSign=false"]
    for words in (["init", "-q"], ["add", "."], [*who, "commit", "-qm", "files"], ["tag", "v0"]):
        subprocess.run(["git", *words], cwd=folder, env=env, check=True, capture_output=True)
    return folder


def index_answers() -> bool:
    """Whether pip, as this machine has set it up, finds packages."""
    command = [sys.executable, "-m", "pip", "download", "--no-deps", "--no-cache-dir", "--quiet"]
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        command += ["--timeout=5", "--retries=0", f"--dest={folder}", "hatchling"]
        return subprocess.run(command, capture_output=True, check=False).returncode == 0


def test_the_real_definition_in_an_environment_of_its_own(
    published: Path, machine: Path, here: Path, git: Git, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Cloned, built and installed by the framework: needs a package index, and half a minute."""
    monkeypatch.delenv("PYTHONPATH", raising=False)
    install(here, {"repos": [{"repo": str(published), "rev": "v0", "hooks": [{"id": "cfgaudit"}]}]})
    git("add", ".")
    first = commit(here)
    assert first.status == 0, first
    machine.write_text(FAULTY)
    git("add", ".")
    machine.write_text(MACHINE)
    assert refused(commit(here))
    git("add", ".")
    write(here, {"readme.txt": "second\n"})
    git("add", ".")
    assert commit(here).status == 0
