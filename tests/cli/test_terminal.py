"""What a terminal gets: colour there alone and never as the only sign, and no bytes that it would act on."""

from __future__ import annotations

import os
import re
import subprocess
from pathlib import Path

import pytest

from cfgaudit.data import data_folder
from cli.conftest import Runs
from cli.program import PROGRAM, environment, process, write

COLOUR = re.compile(rb"\x1b\[[0-9;]*m")
"""Select graphic rendition, ECMA-48 section 8.3.117."""
COMMANDS = ("check", "tree", "roles", "facts", "pins", "where m*", "rules", "explain pin-shared")
NASTY = """\
; cfgaudit reads this \x1b[2J and goes on
[fan \x1b]0;title\x07left]
pin = PA1\x1b[31m
note = a\x9bb\u202ec\x08d
%include \x1b[5mgone.ini

[fan right]
pin = PA1
hea\x1bter = \udcff\x1b[7mbed
"""


def on_terminal(folder: Path, *arguments: str, **env: str) -> bytes:
    """What the program writes to a terminal of 80 columns."""
    pty = pytest.importorskip("pty")
    leader, follower = pty.openpty()
    with subprocess.Popen(
        [*PROGRAM, *arguments],
        cwd=folder,
        env=environment({"TERM": "xterm-256color", "COLUMNS": "80", **env}),
        stdin=subprocess.DEVNULL,
        stdout=follower,
        stderr=subprocess.DEVNULL,
    ):
        os.close(follower)
        written = b"".join(iter(lambda: _read(leader), b""))
    os.close(leader)
    return written.replace(b"\r\n", b"\n")


def _read(leader: int) -> bytes:
    try:
        return os.read(leader, 65536)
    except OSError:  # Linux says so when the other end is closed
        return b""


@pytest.fixture
def machine(here: Path) -> Path:
    upgraded = data_folder("samples") / "heron"
    for folder in (upgraded / "base", upgraded / "upgrade"):
        for path in folder.rglob("*.ini"):
            target = here / path.relative_to(folder)
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(path.read_bytes())
    return here


def test_colours_are_not_the_only_sign(machine: Path) -> None:
    """Without its colours, what a terminal shows is what a pipe gets."""
    for command in ("check", "roles", "explain pin-shared"):
        shown = on_terminal(machine, *command.split())
        assert COLOUR.search(shown), command
        piped = process(*command.split(), cwd=machine, env={"COLUMNS": "80"}).out.encode()
        assert COLOUR.sub(b"", shown) == piped, command


@pytest.mark.parametrize("env", [{"NO_COLOR": "1"}, {"TERM": "dumb"}])
def test_a_terminal_that_wants_none(machine: Path, env: dict[str, str]) -> None:
    assert b"\x1b" not in on_terminal(machine, "check", **env)


@pytest.mark.parametrize("command", COMMANDS)
def test_a_pipe_gets_none(run: Runs, machine: Path, command: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("FORCE_COLOR", "1")
    ran = run(*command.split())
    assert ran.out
    assert "\x1b" not in ran.out + ran.err


@pytest.mark.parametrize("columns", [80, 120])
@pytest.mark.parametrize("command", COMMANDS)
def test_the_window_is_filled_and_never_left(run: Runs, machine: Path, command: str, columns: int) -> None:
    ran = run(*command.split(), columns=columns)
    longest = max(map(len, ran.out.splitlines()))
    assert longest <= columns
    assert longest > columns - 30 or command.startswith("where") or columns == 120


@pytest.mark.parametrize("columns", ["0", "-5", "wide", "", "99999999999999999999", "１２０"])
def test_odd_widths(machine: Path, columns: str) -> None:
    ran = process("check", cwd=machine, env={"COLUMNS": columns})
    assert (ran.status, ran.err) == (1, "")
    assert max(map(len, ran.out.splitlines())) <= 120


@pytest.mark.parametrize(
    "command", ["check", "check --skipped", "tree", "roles", "facts", "pins", "where *", "init"]
)
def test_escapes_of_a_configuration_are_written_out(run: Runs, here: Path, command: str) -> None:
    (here / "main.ini").write_bytes(NASTY.encode("utf-8", "surrogateescape"))
    ran = run(*command.split())
    assert ran.status in (0, 1)
    for letter in ran.out + ran.err:
        assert letter == "\n" or letter.isprintable(), (command, ran.out)


def test_what_init_writes_holds_no_escapes(run: Runs, here: Path) -> None:
    (here / "main.ini").write_bytes(NASTY.encode("utf-8", "surrogateescape"))
    run("init")
    text = (here / "cfgaudit.toml").read_text("utf-8")
    assert all(letter == "\n" or letter.isprintable() for letter in text)
    assert run("check").status in (0, 1), "it is valid as it stands"


def test_a_locale_without_the_letters(here: Path) -> None:
    """The C locale, UTF-8 mode off: reports are UTF-8 all the same, and nothing fails."""
    write(here, {"main.ini": "[heater bed]\nheat pin = PA1\nhighest = 5 °C\n"})
    env = {"LC_ALL": "C", "PYTHONCOERCECLOCALE": "0", "PYTHONUTF8": "0"}
    assert "5 °C" in process("roles", cwd=here, env=env).out
    assert process("facts", "--help", cwd=here, env=env).status == 0
    assert process("check", "gänzlich.ini", cwd=here, env=env).err.startswith("cfgaudit: g")
