"""Grammars, rules and samples are found in a checkout and in an installed wheel alike."""

from __future__ import annotations

import os
import subprocess
import sys
import zipfile
from collections.abc import Iterator
from configparser import ConfigParser
from email import message_from_string
from pathlib import Path

import pytest

from cfgaudit import __version__
from cfgaudit.data import data_folder

ROOT = Path(__file__).parent.parent
DATA = ("grammar", "rules", "samples")

pytestmark = pytest.mark.skipif(
    not (ROOT / "pyproject.toml").is_file(), reason="wheels are built from a checkout"
)


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the source archive and the wheel that is made of it."""
    folder = tmp_path_factory.mktemp("built")
    command = [sys.executable, "-m", "build", "--no-isolation", "--outdir", str(folder), str(ROOT)]
    done = subprocess.run(
        command, capture_output=True, text=True, check=False, env={**os.environ, "NO_COLOR": "1"}
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return folder


@pytest.fixture(scope="module")
def wheel(built: Path) -> Path:
    (path,) = built.glob("*.whl")
    return path


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What installing does with a wheel of pure Python: its files lie in a folder of packages."""
    folder = tmp_path_factory.mktemp("installed")
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(folder)
    return folder


def files(folder: Path) -> Iterator[str]:
    """All files below a folder of the checkout, less what Python and editors leave behind."""
    for path in folder.rglob("*"):
        if path.is_file() and "__pycache__" not in path.parts and not path.name.startswith("."):
            yield path.relative_to(folder).as_posix()


def expected() -> set[str]:
    package = {f"cfgaudit/{name}" for name in files(ROOT / "cfgaudit")}
    return package | {f"cfgaudit/data/{folder}/{name}" for folder in DATA for name in files(ROOT / folder)}


def run(installed: Path, folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    """The installed program, away from the checkout."""
    env = {**os.environ, "PYTHONPATH": str(installed), "XDG_CACHE_HOME": str(folder / "cache")}
    return subprocess.run(
        [sys.executable, *arguments], cwd=folder, env=env, capture_output=True, encoding="utf-8", check=False
    )


@pytest.mark.parametrize("name", DATA)
def test_found_in_a_checkout(name: str) -> None:
    assert data_folder(name) in (ROOT / name, ROOT / "cfgaudit" / "data" / name)
    assert any(files(data_folder(name)))


def test_the_wheel_holds_all_and_nothing_else(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        names = set(archive.namelist())
    assert {name for name in names if not name.startswith(f"cfgaudit-{__version__}.dist-info/")} == expected()
    for path in (
        "samples/heron/history.toml",
        "samples/heron/upgrade/faults.toml",
        "samples/gannet/gannet.conf",
    ):
        assert f"cfgaudit/data/{path}" in names
    for path in ("vocabulary/trade.toml", "data/grammar/config.lark", "data/rules/wiring/pin-shared.toml"):
        assert f"cfgaudit/{path}" in names


def test_every_file_is_the_checkouts(installed: Path) -> None:
    for name in expected():
        origin = (
            ROOT / name.removeprefix("cfgaudit/data/") if name.startswith("cfgaudit/data/") else ROOT / name
        )
        assert (installed / name).read_bytes() == origin.read_bytes(), name


def test_what_the_wheel_says_of_itself(installed: Path) -> None:
    info = installed / f"cfgaudit-{__version__}.dist-info"
    about = message_from_string((info / "METADATA").read_text("utf-8"))
    assert (about["Name"], about["Version"]) == ("cfgaudit", __version__)
    assert about["License-Expression"] == "MIT"
    assert about["Requires-Python"] == ">=3.11"
    needed = [one for one in about.get_all("Requires-Dist", []) if "extra ==" not in one]
    assert {one.split("<")[0].split(">")[0] for one in needed} == {
        "lark",
        "typer",
        "rich",
        "gitpython",
        "tomli-w",
    }
    assert {"chips", "measure", "test"} <= set(about.get_all("Provides-Extra", []))
    assert str(about.get_payload()).startswith("# cfgaudit")
    scripts = ConfigParser()
    scripts.read(info / "entry_points.txt")
    assert dict(scripts["console_scripts"]) == {"cfgaudit": "cfgaudit.cli.main:main"}


@pytest.mark.parametrize("name", DATA)
def test_found_in_an_installed_wheel(installed: Path, tmp_path: Path, name: str) -> None:
    code = f"from cfgaudit.data import data_folder; print(data_folder({name!r}), end='')"
    assert run(installed, tmp_path, "-c", code).stdout == str(installed / "cfgaudit" / "data" / name)


def test_an_installed_wheel_works(installed: Path, tmp_path: Path) -> None:
    """The demo, whose sample and history are data; a rule's page; and the clean sample."""
    demo = run(installed, tmp_path, "-m", "cfgaudit", "demo", "heron")
    assert (demo.returncode, "Traceback" in demo.stderr) == (0, False), demo.stderr
    assert "heater-unguarded" in demo.stdout
    assert (tmp_path / "heron" / ".git").is_dir()
    assert run(installed, tmp_path, "-m", "cfgaudit", "explain", "pin-shared").returncode == 0
    gannet = installed / "cfgaudit" / "data" / "samples" / "gannet"
    assert run(installed, tmp_path, "-m", "cfgaudit", "check", str(gannet)).returncode == 0


def test_an_incomplete_installation_says_so(installed: Path, tmp_path: Path) -> None:
    code = "from cfgaudit.data import data_folder; data_folder('recipes')"
    told = run(installed, tmp_path, "-c", code).stderr.splitlines()[-1]
    assert "recipes data is missing" in told
    assert str(installed / "cfgaudit" / "data" / "recipes") in told
