"""What may not be read or written: one line that names it and what to do, and nothing written."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from cli.permission import bound
from cli.program import Ran, contents, process, write

PLAIN = "[board a]\nchip = LPC1768\n"
NOT_POSSIBLE = 77


def run(folder: Path, *arguments: str) -> Ran:
    ran = process(*arguments, cwd=folder, preexec_fn=bound())
    if ran.status == NOT_POSSIBLE:
        pytest.skip("root's rights cannot be dropped here")
    return ran


def refused(folder: Path, *arguments: str) -> str:
    ran = run(folder, *arguments)
    assert (ran.status, ran.out) == (2, ""), ran
    assert ran.err.count("\n") == 1
    return ran.err


@pytest.fixture
def machine(here: Path) -> Iterator[Path]:
    write(here, {"machine/main.ini": PLAIN, "machine/parts/fan.ini": "[fan]\npin = P1.1\n"})
    yield here / "machine"
    for path in (here / "machine", here / "machine" / "parts", *(here / "machine").glob("*.*")):
        path.chmod(0o755)


def test_an_unreadable_main_file(here: Path, machine: Path) -> None:
    (machine / "main.ini").chmod(0)
    for command in ("check", "tree", "init"):
        told = refused(here, command, "machine/main.ini")
        assert "machine/main.ini may not be read" in told
        assert "permissions" in told


def test_an_unreadable_project_file(here: Path, machine: Path) -> None:
    (machine / "cfgaudit.toml").write_text("")
    (machine / "cfgaudit.toml").chmod(0)
    assert "machine/cfgaudit.toml may not be read" in refused(here, "check", "machine/main.ini")


@pytest.mark.parametrize("mode", [0o000, 0o600])
def test_a_folder_that_cannot_be_entered(here: Path, machine: Path, mode: int) -> None:
    machine.chmod(mode)
    assert "machine/" in refused(here, "check", "machine/main.ini")
    told = refused(here, "check", "machine")
    assert "machine" in told
    machine.chmod(0o755)


def test_an_unreadable_folder_below_hides_nothing_else(here: Path, machine: Path) -> None:
    (machine / "parts").chmod(0)
    assert run(here, "check", "machine").out.startswith("main.ini, 1 setting: ")


def test_init_in_a_folder_that_is_read_only(here: Path, machine: Path) -> None:
    before = contents(here)
    machine.chmod(0o555)
    told = refused(here, "init", "machine")
    assert "machine/cfgaudit.toml cannot be written" in told
    machine.chmod(0o755)
    assert contents(here) == before


def test_demo_in_a_folder_that_is_read_only(here: Path, machine: Path) -> None:
    machine.chmod(0o555)
    for folder in ("machine/heron", "machine/new/heron"):
        assert f"{folder} cannot be written" in refused(here, "demo", folder)
    assert not (machine / "heron").exists()
    assert not (machine / "new").exists()


def test_a_checkout_that_is_read_only_can_be_checked(here: Path, machine: Path) -> None:
    machine.chmod(0o555)
    assert run(here, "check", "machine/main.ini").status == 0
