"""Where things are kept between runs: as the XDG Base Directory Specification says, and nobody else's."""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator
from pathlib import Path

import pytest

from cfgaudit.cli.cache import use_cache
from cfgaudit.kept import keep_in, kept

pytestmark = pytest.mark.skipif(os.name == "nt", reason="permissions and homes differ there")


@pytest.fixture(autouse=True)
def nothing_kept(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Iterator[None]:
    monkeypatch.delenv("XDG_CACHE_HOME", raising=False)
    monkeypatch.setenv("HOME", str(tmp_path))
    yield
    keep_in(None)


def folder_in_use(root: Path) -> Path | None:
    """Where something is kept below ``root``."""
    use_cache()
    kept("any", ["text"], lambda: "made")
    return next((file.parent for file in root.rglob("any-*")), None)


def test_in_the_home_folder(tmp_path: Path) -> None:
    assert folder_in_use(tmp_path) == tmp_path / ".cache" / "cfgaudit"
    assert stat.S_IMODE((tmp_path / ".cache" / "cfgaudit").stat().st_mode) == 0o700


def test_where_the_environment_says(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "elsewhere"))
    assert folder_in_use(tmp_path) == tmp_path / "elsewhere" / "cfgaudit"


def test_a_relative_path_in_the_environment_is_ignored(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", "elsewhere")  # "must be absolute", says the specification
    assert folder_in_use(tmp_path) == tmp_path / ".cache" / "cfgaudit"


@pytest.mark.parametrize("mode", [0o777, 0o770, 0o702])
def test_a_folder_that_others_may_write_to_is_not_used(tmp_path: Path, mode: int) -> None:
    folder = tmp_path / ".cache" / "cfgaudit"
    folder.mkdir(parents=True)
    folder.chmod(mode)
    assert folder_in_use(tmp_path) is None


def test_a_link_is_not_followed(tmp_path: Path) -> None:
    (tmp_path / "other").mkdir(mode=0o700)
    (tmp_path / ".cache").mkdir()
    (tmp_path / ".cache" / "cfgaudit").symlink_to(tmp_path / "other")
    assert folder_in_use(tmp_path) is None


def test_a_file_in_its_place(tmp_path: Path) -> None:
    (tmp_path / ".cache").write_text("")
    assert folder_in_use(tmp_path) is None
