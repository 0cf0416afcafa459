"""One file from standard input: alone, or in place of what an editor has not saved."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from cli.conftest import Runs
from cli.program import PROGRAM, contents, environment, quiet, write

MAIN = "%include parts/heat.ini\n%include parts/fan.ini\n"
HEAT = "[heater bed]\nheat pin = PA1\nthermistor pin = PA2\nlowest = 5\nhighest = 110\n"
FAN = "[fan side]\npin = PA3\nfollows heater = bed\n"
CLASH = "[fan side]\npin = PA1\nfollows heater = bed\n"


@pytest.fixture
def machine(here: Path) -> Path:
    return write(here, {"m/main.ini": MAIN, "m/parts/heat.ini": HEAT, "m/parts/fan.ini": FAN})


def check(run: Runs, text: str, *arguments: str) -> Any:
    ran = run("check", "-", "--format", "json", *arguments, stdin=text.encode())
    assert ran.err == ""
    return json.loads(ran.out)


def found(form: Any) -> list[tuple[str, str]]:
    return [(one["rule"], one["where"]["file"]) for one in form["findings"] if one["severity"] != "note"]


def test_a_file_that_does_not_exist_yet(run: Runs, here: Path) -> None:
    form = check(run, HEAT + "\n[fan side]\npin = PA1\n", "--path", "new/main.ini")
    assert (form["main"], form["files"]) == ("main.ini", ["main.ini"])
    assert ("pin-shared", "main.ini") in found(form)
    assert contents(here) == {}


def test_what_it_includes_is_read_from_disk(run: Runs, machine: Path) -> None:
    form = check(run, MAIN + "[fan other]\npin = PA3\n", "--path", "m/main.ini")
    assert form["files"] == ["main.ini", "parts/heat.ini", "parts/fan.ini"]
    assert ("pin-shared", "parts/fan.ini") in found(form) or ("pin-shared", "main.ini") in found(form)


@pytest.mark.parametrize("folder", [".", "m", "m/parts"])
def test_a_file_that_others_include(
    run: Runs, machine: Path, folder: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Unsaved, it is checked with the rest: alone it would name a heater that is elsewhere."""
    monkeypatch.chdir(machine / folder)
    path = {".": "m/parts/fan.ini", "m": "parts/fan.ini", "m/parts": str(machine / "m/parts/fan.ini")}[folder]
    if folder == "m/parts":
        write(machine, {"m/cfgaudit.toml": 'main = "main.ini"\n', "m/.git/HEAD": "", "m/main.ini": MAIN})
    form = check(run, CLASH, "--path", path)
    assert form["main"] == "main.ini"
    assert {rule for rule, _ in found(form)} == {"pin-shared"}
    form = check(run, FAN, "--path", path)
    assert found(form) == []


def test_the_saved_file_is_left_alone(run: Runs, machine: Path) -> None:
    before = contents(machine)
    check(run, CLASH, "--path", "m/parts/fan.ini")
    assert contents(machine) == before


def test_a_file_that_nothing_includes_is_a_main_file(run: Runs, machine: Path) -> None:
    form = check(run, CLASH, "--path", "m/parts/other.ini")
    assert form["main"] == "other.ini"
    assert form["files"] == ["other.ini"]


def test_a_main_file_that_includes_the_new_file_only_there(run: Runs, machine: Path) -> None:
    """The buffer itself may be the main file that includes others; then it is the main file."""
    form = check(run, "%include fan.ini\n%include heat.ini\n", "--path", "m/parts/all.ini")
    assert form["main"] == "all.ini"
    assert form["files"] == ["all.ini", "fan.ini", "heat.ini"]


def test_over_the_index(run: Runs, machine: Path, git: Callable[..., str]) -> None:
    """The rest is read as it is staged."""
    git("add", ".")
    write(machine, {"m/parts/heat.ini": HEAT.replace("PA1", "PB7")})
    assert {rule for rule, _ in found(check(run, CLASH, "--path", "m/parts/fan.ini", "--staged"))} == {
        "pin-shared"
    }
    assert found(check(run, CLASH, "--path", "m/parts/fan.ini")) == []


def test_a_binary_file(run: Runs, here: Path) -> None:
    ran = run("check", "-", "--path", "photo.ini", stdin=bytes(range(256)) * 20)
    assert (ran.status, ran.out, ran.err.count("\n")) == (2, "", 1)
    assert "photo.ini is a binary file" in ran.err


def test_bytes_that_are_no_utf_8(run: Runs, here: Path) -> None:
    ran = run("check", "-", "--path", "main.ini", stdin=b"[fan a]\npin = PA1 ; caf\xe9\n")
    assert "not-utf8" in ran.out


def test_more_than_a_configuration_can_be(here: Path) -> None:
    """A pipe that never ends is read no further than a file may be long."""
    with subprocess.Popen(["yes", "[fan a]"], stdout=subprocess.PIPE) as endless:
        done = subprocess.run(
            [*PROGRAM, "check", "-", "--path", "main.ini"],
            cwd=here,
            env=environment(),
            stdin=endless.stdout,
            capture_output=True,
            text=True,
            check=False,
        )
        endless.kill()
    assert (done.returncode, done.stdout, quiet(done.stderr).count("\n")) == (2, "", 1)
    assert quiet(done.stderr).startswith("cfgaudit: standard input is 16 MiB")
