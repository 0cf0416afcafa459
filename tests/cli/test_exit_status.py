"""The exit status: 0 clean, 1 findings at or above ``--fail-at``, 2 nothing could be said."""

from __future__ import annotations

import signal
import subprocess
import sys
from contextlib import suppress
from pathlib import Path

import pytest

from cli.conftest import Runs
from cli.program import PROGRAM, environment, process, quiet, write

SEVERITIES = ("danger", "error", "warning", "note")
MACHINES = {
    "nothing": "[board a]\nchip = LPC1768\n",
    "note": "[board a]\nchip = LPC1768\n",
    "warning": "[board a]\nchip = LPC1768\n\n[board a]\nbit rate = 250000\n",
    "error": "[fan left]\npin = PA1\n\n[fan right]\npin = PA1\n",
    "danger": "[heater bed]\nheat pin = PA1\nlowest temp = 5\nhighest temp = 110\n",
}
"""What each machine has at worst, by the severity that the rule's card states: a configuration file that
nothing includes; a section that is opened twice; one pin with two users; a heater without a sensor."""


def machine(here: Path, worst: str) -> None:
    write(here, {"main.ini": "%include machine.ini\n", "machine.ini": MACHINES[worst]})
    if worst == "note":
        write(here, {"left-over.ini": "[fan left]\npin = PA1\n"})


@pytest.mark.parametrize("fail_at", SEVERITIES)
@pytest.mark.parametrize("worst", MACHINES)
@pytest.mark.parametrize("form", ["text", "json"])
def test_findings_at_or_above(run: Runs, here: Path, worst: str, fail_at: str, form: str) -> None:
    machine(here, worst)
    fails = worst != "nothing" and SEVERITIES.index(worst) <= SEVERITIES.index(fail_at)
    ran = run("check", "--fail-at", fail_at, "--format", form)
    assert (ran.status, ran.err) == (int(fails), "")
    assert (worst in ran.out) or worst == "nothing"


@pytest.mark.parametrize("worst", MACHINES)
def test_the_default_is_error(run: Runs, here: Path, worst: str) -> None:
    machine(here, worst)
    assert run("check").status == int(worst in ("danger", "error"))


def test_a_severity_of_the_project_file_counts(run: Runs, here: Path) -> None:
    machine(here, "error")
    write(here, {"cfgaudit.toml": "[rules]\npin-shared = 'note'\n"})
    assert run("check").status == 0
    assert run("check", "--fail-at", "note").status == 1


@pytest.mark.parametrize("command", ["tree", "roles", "facts", "pins", "where left"])
def test_other_commands_judge_nothing(run: Runs, here: Path, command: str) -> None:
    machine(here, "error")
    assert run(*command.split()).status == 0


def test_a_name_that_is_nowhere(run: Runs, here: Path) -> None:
    machine(here, "error")
    ran = run("where", "nothing-of-that-name")
    assert (ran.status, ran.out) == (1, "")
    assert "nothing-of-that-name" in ran.err


def test_a_reader_that_goes_away_changes_no_verdict(here: Path) -> None:
    """As under ``| head -1``: silence, and the status of what was found."""
    machine(here, "error")
    for arguments, status in ((["check"], 1), (["check", "--fail-at", "danger"], 0)):
        with subprocess.Popen(
            [*PROGRAM, *arguments],
            cwd=here,
            env=environment(),
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
        ) as started:
            assert started.stdout is not None
            assert started.stderr is not None
            started.stdout.close()
            assert quiet(started.stderr.read().decode()) == ""
            assert started.wait() == status


@pytest.mark.parametrize("redirection", [">&-", "2>&-", ">&- 2>&-", "<&-", "</dev/null >&-"])
def test_closed_streams(here: Path, redirection: str) -> None:
    machine(here, "error")
    done = subprocess.run(
        ["sh", "-c", f'"$@" {redirection}', "sh", *PROGRAM, "check"],
        cwd=here,
        env=environment(),
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, quiet(done.stderr)) == (1, "")


def test_standard_input_that_is_closed(here: Path) -> None:
    done = subprocess.run(
        ["sh", "-c", '"$@" <&-', "sh", *PROGRAM, "check", "-", "--path", "main.ini"],
        cwd=here,
        env=environment(),
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stdout) == (2, "")
    assert quiet(done.stderr) == "cfgaudit: standard input is closed: send the file's text to it\n"


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device here is always full")
def test_a_full_disk(here: Path) -> None:
    machine(here, "error")
    with open("/dev/full", "w") as full:
        done = subprocess.run(
            [*PROGRAM, "check"], cwd=here, env=environment(), stdout=full, stderr=subprocess.PIPE, check=False
        )
    assert done.returncode == 2
    assert quiet(done.stderr.decode()).startswith("cfgaudit: standard output: ")
    assert quiet(done.stderr.decode()).count("\n") == 1


def test_an_interruption(here: Path) -> None:
    """Ctrl-C while it waits for standard input: 130, as shells have it, and no traceback."""
    with subprocess.Popen(
        [*PROGRAM, "check", "-", "--path", "main.ini"],
        cwd=here,
        env=environment(),
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        preexec_fn=heed_interruptions,
    ) as started:
        assert started.stdin is not None
        assert started.stderr is not None
        started.stdin.write(b"\n" * 1024 * 1024)  # more than a pipe holds, so that it has begun to read
        started.stdin.flush()
        interrupt(started)
        assert started.returncode == 130
        assert quiet(started.stderr.read().decode()) == ""


def heed_interruptions() -> None:
    """What a shell starts in the background ignores them, and so would whatever it starts."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


def interrupt(started: subprocess.Popen[bytes]) -> None:
    """Send the signal until it ends: one that comes just before a read blocks is noticed after it."""
    for _ in range(20):
        started.send_signal(signal.SIGINT)
        with suppress(subprocess.TimeoutExpired):
            started.wait(timeout=1)
            return
    started.kill()


def test_version(run: Runs) -> None:
    from cfgaudit import __version__

    for arguments in (["--version"], ["--version", "check"]):
        ran = run(*arguments)
        assert (ran.status, ran.out) == (0, f"cfgaudit {__version__}\n")


def test_run_as_a_module(here: Path) -> None:
    assert process("--version", cwd=here).status == 0
    assert sys.executable == PROGRAM[0]
