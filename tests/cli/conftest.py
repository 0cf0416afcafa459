"""The program in this process: faster than one of its own."""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from cfgaudit.cli.main import main
from cfgaudit.kept import keep_in
from cli.program import Ran, ended

Runs = Callable[..., Ran]


@pytest.fixture(autouse=True)
def private_cache(
    monkeypatch: pytest.MonkeyPatch, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[None]:
    """Nothing is kept in the home of whoever runs the tests."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path_factory.mktemp("cache")))
    yield
    keep_in(None)


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty current folder that lies in no git repository."""
    folder = tmp_path / "here"
    folder.mkdir()
    monkeypatch.chdir(folder)
    monkeypatch.setenv("GIT_CEILING_DIRECTORIES", str(tmp_path))
    return folder


@pytest.fixture
def run(here: Path, monkeypatch: pytest.MonkeyPatch, capfdbinary: pytest.CaptureFixture[bytes]) -> Runs:
    """Run the program in `here`, its output to a pipe."""

    def run_here(*arguments: str, columns: int = 80, stdin: bytes = b"") -> Ran:
        monkeypatch.setenv("COLUMNS", str(columns))
        monkeypatch.setattr(sys, "argv", ["cfgaudit", *arguments])
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(stdin)))
        capfdbinary.readouterr()
        status: object = 0
        try:
            main()
        except SystemExit as end:
            status = end.code
        out, err = capfdbinary.readouterr()
        assert isinstance(status, int)
        return ended(status, out, err)

    return run_here


@pytest.fixture
def git(here: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., str]:
    """git in `here`, with an identity and no configuration of the user's."""
    import subprocess

    for name in [
        name for name in os.environ if name.startswith("GIT_") and name != "GIT_CEILING_DIRECTORIES"
    ]:
        monkeypatch.delenv(name)
    monkeypatch.setenv("GIT_CONFIG_GLOBAL", os.devnull)
    monkeypatch.setenv("GIT_CONFIG_NOSYSTEM", "1")
    for who in ("AUTHOR", "COMMITTER"):
        monkeypatch.setenv(f"GIT_{who}_NAME", "Odile")
        monkeypatch.setenv(f"GIT_{who}_EMAIL", "odile@example.org")

    def git_here(*arguments: str) -> str:
        return subprocess.run(
            ["git", *arguments], cwd=here, check=True, capture_output=True, text=True
        ).stdout

    git_here("init", "--quiet", "--initial-branch=main")
    return git_here
