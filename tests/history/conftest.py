"""No repository and no configuration but those that a test makes."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from history.real_git import IDENTITY, git


@pytest.fixture
def only_the_tests_git(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    for name in [name for name in os.environ if name.startswith("GIT_")]:
        monkeypatch.delenv(name)
    monkeypatch.setenv("GIT_CONFIG_GLOBAL", os.devnull)
    monkeypatch.setenv("GIT_CONFIG_NOSYSTEM", "1")
    monkeypatch.setenv("GIT_CEILING_DIRECTORIES", str(tmp_path))
    for name, value in IDENTITY.items():
        monkeypatch.setenv(name, value)


@pytest.fixture
def folder(tmp_path: Path, only_the_tests_git: None) -> Path:
    """An empty repository."""
    made = tmp_path / "machine"
    made.mkdir()
    git(made, "init", "--quiet", "--initial-branch=work")
    return made
