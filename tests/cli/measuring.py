"""What tests of measuring commands share: a small machine, and what must be refused."""

from __future__ import annotations

from pathlib import Path

from cli.conftest import Runs
from cli.program import contents, write

MACHINE = """\
[axis z]
full steps = 200
microsteps = 16
travel per turn = 4 mm

[probe]
signal = PC1
offset x = 20
touches = 3
tolerance = 0.006 mm

[heater bed]
drive = PD12
thermometer = PC0
lowest = 5 °C
highest = 110 °C
regulator = PID
pid p = 48.0
pid i = 0.9
pid d = 610

[guard bed]
watches = heater bed
must gain = 2 K
within = 60 s
keeps within = 6 K
"""
RECORDS = "evidence"


def machine(here: Path, text: str = MACHINE) -> None:
    """Write the machine into a folder."""
    write(here, {"machine.ini": text})


def refused(run: Runs, here: Path, *arguments: str, stdin: bytes = b"") -> str:
    """What a measurement that cannot be used is told in one line; nothing is written."""
    before = contents(here)
    ran = run("measure", *arguments, stdin=stdin)
    assert (ran.status, ran.out) == (2, ""), ran
    assert ran.err.count("\n") == 1
    assert ran.err.startswith("cfgaudit: ")
    assert contents(here) == before
    return ran.err
