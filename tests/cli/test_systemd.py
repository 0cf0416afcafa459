"""``gate --systemd``: a drop-in that systemd itself reads as it is meant.

By systemd.service(5), COMMAND LINES, and systemd.syntax(7), QUOTING.
"""

from __future__ import annotations

import os
import re
import shlex
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.cli.drop_in import command_line, quoted, service_name
from cfgaudit.cli.failure import UsageError
from cli.conftest import Runs
from cli.program import contents, write

ANALYSE = shutil.which("systemd-analyze")
needs_systemd = pytest.mark.skipif(ANALYSE is None, reason="systemd-analyze is not installed")
SERVICE = "[Service]\nExecStart=/bin/true\n"
ODD = "a b %n $HOME ${PATH} 'x' \"y\" \\z ; é 100%"
"""A folder whose every part would mean something to systemd or a shell."""


def parsed(folder: Path, drop_in: str) -> list[str]:
    """The arguments of ExecStartPre= as systemd has read them; its checks must be silent."""
    write(folder, {"mill.service": SERVICE, "mill.service.d/cfgaudit.conf": drop_in})
    env = {**os.environ, "SYSTEMD_UNIT_PATH": f"{folder}:", "LC_ALL": "C.UTF-8"}
    command = [ANALYSE or "", "verify", "--man=no", "mill.service"]
    plain = subprocess.run(command, env=env, capture_output=True, text=True, check=False)
    assert (plain.returncode, complaints(plain.stderr)) == (0, [])
    told = subprocess.run(
        command, env={**env, "SYSTEMD_LOG_LEVEL": "debug"}, capture_output=True, text=True, check=False
    ).stdout
    found = re.findall(r"-> ExecStartPre:\n\s*Command Line: (.*)\n", told)
    if not found:
        pytest.skip("this systemd does not tell how it reads a unit")
    assert len(found) == 1
    # told in double quotes, where a shell takes a backslash before four characters, and shlex before two
    return shlex.split(re.sub(r"\\([$`]|\\|\")", lambda one: one[1] if one[1] in "$`" else one[0], found[0]))


def complaints(stderr: str) -> list[str]:
    """What is said of our unit; the machine's own units may have faults."""
    return [line for line in stderr.splitlines() if "mill.service" in line or "cfgaudit.conf" in line]


def unescaped(arguments: list[str]) -> list[str]:
    """``$$`` stands for ``$`` until the command is run (systemd.service(5), COMMAND LINES)."""
    assert not any(re.search(r"(?<!\$)\$(?:\$\$)*(?!\$)", argument) for argument in arguments), "a variable"
    return [argument.replace("$$", "$") for argument in arguments]


@pytest.fixture
def machine(here: Path, git: Callable[..., str]) -> Path:
    write(here, {f"{ODD}/oven.ini": "[oven]\n"})
    git("add", ".")
    git("commit", "--quiet", "--message=first")
    return here / ODD / "oven.ini"


@needs_systemd
@pytest.mark.parametrize("more", [[], ["--fail-at", "warning"]])
def test_what_systemd_reads(run: Runs, machine: Path, tmp_path: Path, more: list[str]) -> None:
    ran = run("gate", "--systemd", "mill", *more, f"{ODD}/oven.ini")
    assert (ran.status, ran.err) == (0, "")
    arguments = unescaped(parsed(tmp_path / "units", ran.out))
    level = more[1] if more else "error"
    program = [sys.executable, "-P", "-m", "cfgaudit"]
    assert arguments == [*program, "gate", "--fail-at", level, str(machine)]
    # the same words, run from elsewhere as a service would be
    done = subprocess.run(
        arguments,
        cwd="/",
        env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])},
        capture_output=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith(b"PASS")


def test_it_says_where_it_belongs_and_writes_nothing(run: Runs, machine: Path, here: Path) -> None:
    before = contents(here)
    ran = run("gate", str(machine), "--systemd", "mill.service")
    lines = ran.out.splitlines()
    assert lines[0] == "# /etc/systemd/system/mill.service.d/cfgaudit.conf"
    assert next(line for line in lines if not line.startswith("#")) == "[Service]"
    assert f"safe.directory {shlex.quote(str(here))}" in ran.out
    assert "systemctl daemon-reload" in ran.out
    assert contents(here) == before


@pytest.mark.parametrize(
    ("given_name", "name"),
    [
        ("mill", "mill.service"),
        ("mill.service", "mill.service"),
        ("mill@2.service", "mill@2.service"),
        ("mill@", "mill@.service"),
        (r"dev\x2dmill", r"dev\x2dmill.service"),
    ],
)
def test_names_of_units(given_name: str, name: str) -> None:
    assert service_name(given_name) == name


@pytest.mark.parametrize(
    "name",
    ["", "../mill", "/etc/mill.service", "mi ll", "mill\n[Service]", "mühle", "x" * 250, ".service", "%n"],
)
def test_what_is_no_unit(run: Runs, machine: Path, name: str) -> None:
    ran = run("gate", str(machine), "--systemd", name)
    assert (ran.status, ran.out, ran.err.count("\n")) == (2, "", 1)
    assert "is no name of a service" in ran.err


@pytest.mark.parametrize("more", [["--staged"], ["--accept", "why"]])
def test_it_stands_alone(run: Runs, machine: Path, more: list[str]) -> None:
    ran = run("gate", str(machine), "--systemd", "mill", *more)
    assert (ran.status, ran.out, ran.err.count("\n")) == (2, "", 1)


def test_no_repository(run: Runs, here: Path) -> None:
    """The gate would stop the service for ever."""
    write(here, {"oven.ini": "[oven]\n"})
    ran = run("gate", "--systemd", "mill")
    assert (ran.status, ran.out, ran.err.count("\n")) == (2, "", 1)


def test_a_line_feed_cannot_stand_in_a_unit_file() -> None:
    for text in ("a\nExecStart=/bin/false", "a\rb", "\udcff"):
        with pytest.raises(UsageError):
            quoted(text)


WORDS = st.text(
    st.characters(exclude_categories=["Cs", "Cc", "Cn", "Co"], exclude_characters="\u2028\u2029"),
    min_size=1,
    max_size=20,
)


@needs_systemd
@settings(max_examples=12, deadline=None)
@given(
    st.lists(
        WORDS | st.sampled_from(["%n", "$$", "${HOME}", '"', "\\", "'", ";", "a b", "\\x41"]), max_size=6
    )
)
def test_any_words(tmp_path_factory: pytest.TempPathFactory, words: list[str]) -> None:
    """What systemd reads is what was meant, whatever the words hold."""
    text = f"[Service]\nExecStartPre={command_line(['/bin/echo', *words])}\n"
    assert unescaped(parsed(tmp_path_factory.mktemp("units"), text)) == ["/bin/echo", *words]


@needs_systemd
def test_a_dollar_sign_in_the_programs_own_path(tmp_path: Path) -> None:
    """It cannot be escaped in the first word, where systemd replaces nothing."""
    program = tmp_path / "a$b" / "cfgaudit"
    write(tmp_path, {"a$b/cfgaudit": "#!/bin/sh\n"})
    program.chmod(0o755)
    text = f"[Service]\nExecStartPre={command_line([str(program), 'gate'])}\n"
    assert unescaped(parsed(tmp_path / "units", text)) == ["/usr/bin/env", str(program), "gate"]
