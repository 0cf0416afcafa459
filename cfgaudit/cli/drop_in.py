"""A systemd drop-in that runs the gate before a service starts, by systemd.service(5) and systemd.unit(5)."""

from __future__ import annotations

import os
import re
import shlex
from pathlib import Path

from cfgaudit.checks.finding import Severity
from cfgaudit.cli.failure import UsageError
from cfgaudit.cli.program_path import program
from cfgaudit.report.lines import visible

UNIT = re.compile(r"(?!\.)[A-Za-z0-9:_.\\@-]+\.service")
LONGEST = 255
"""Of a unit's name, in characters."""
TEXT = """\
# {folder}/cfgaudit.conf
# Runs the gate of cfgaudit before {unit} starts; where it says STOP, the service is not started.
# Put this text there, then: systemctl daemon-reload
# What the gate said: journalctl -b -u {unit}
# The gate runs as the service's user, who must be able to read the files. If the repository belongs to
# somebody else, git refuses to read it; allow it once, as that user or (--system, as root) for everybody:
#   {safe}
# It runs after any other ExecStartPre= of the unit. To start without it: move this file away, daemon-reload.
# A pass says that nothing new is known against a restart, not that the machine is safe.
[Service]
ExecStartPre={command}
"""


def drop_in(unit: str, main: Path, fail_at: Severity, repository: Path) -> str:
    """The drop-in's text, its place in the first line. ``repository`` is the top of the work tree.

    Raises UsageError if ``unit`` is no service's name, or a path cannot stand in a unit file.
    """
    name = service_name(unit)
    file = os.path.abspath(main)
    words = [*program(), "gate", "--fail-at", fail_at.value, file]
    safe = f"git config --global --add safe.directory {shlex.quote(str(repository))}"
    return TEXT.format(
        folder=f"/etc/systemd/system/{name}.d", unit=name, safe=visible(safe), command=command_line(words)
    )


def service_name(unit: str) -> str:
    """The full name of a service's unit. Raises UsageError for what can be none."""
    name = unit if unit.endswith(".service") else f"{unit}.service"
    if "/" in unit or not UNIT.fullmatch(name) or len(name) > LONGEST:
        raise UsageError(
            f"{unit!r} is no name of a service: give it as systemctl list-units shows it, NAME.service"
        )
    return name


def command_line(words: list[str]) -> str:
    """Words as systemd reads them back: no variable, no specifier, nothing of a path means anything to it.

    In the first word a dollar sign cannot be escaped, so a program with one is started by another.
    """
    if "$" in words[0]:
        words = ["/usr/bin/env", *words]
    return " ".join(quoted(word) for word in words)


def quoted(word: str) -> str:
    """One argument in systemd's own quotes. Raises UsageError if it holds what no unit file can."""
    if any(letter < " " or letter == "\x7f" or "\udc80" <= letter <= "\udcff" for letter in word):
        raise UsageError(f"{word} cannot stand in a unit file: rename the folder or the file")
    if re.fullmatch(r"[A-Za-z0-9_./=,:@+-]+", word):
        return word
    for letter, escape in (("\\", "\\\\"), ('"', '\\"'), ("%", "%%"), ("$", "$$")):
        word = word.replace(letter, escape)
    return f'"{word}"'
