"""All of ``cfgaudit measure resonance`` against numpy alone: ``python tests/benchmarks/resonance.py [RUNS]``.

A simulated run of five minutes, 3,200 samples a second (about a million rows). Both processes run in turn, as
in ``check.py``: ours reads, measures and reports, the other one only loads the same numbers (numpy.loadtxt).
Bounds: 3 times the processor's time, and 400 MiB of memory. Needs a POSIX system.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

import numpy as np
from check import PYTHON, Comparison, compare
from scipy import signal

RUNS = 5
RATE, SECONDS = 3200, 312.5
TIMES_AT_MOST, MEBIBYTES_AT_MOST = 3.0, 400.0
MACHINE = """\
[axis x]
full steps = 200
microsteps = 16
travel per turn = 40 mm
top acceleration = 6000 mm/s²

[shaper x]
kind = MZV
frequency = 61.3 Hz
damping ratio = 0.07
"""
LOADED = "import sys, numpy; numpy.loadtxt(sys.argv[1], delimiter=',', skiprows=1)"


def write_run(path: Path) -> None:
    """A time and three accelerations in g, the first of what rings at 52.3 Hz."""
    random, count = np.random.default_rng(3), int(RATE * SECONDS)
    pulse = 2 * np.pi * 52.3
    top, bottom, _ = signal.cont2discrete(
        ([1, 0, 0], [1, 0.1 * pulse, pulse**2]), 1 / RATE, method="bilinear"
    )
    rung = signal.lfilter(top.ravel(), bottom, random.normal(size=count))
    rung /= rung.std()
    other = random.normal(0.0, 0.1, (2, count))
    table = np.column_stack([np.arange(count) / RATE, rung, 0.2 * rung + other[0], 1.0 + other[1]])
    np.savetxt(path, table, fmt="%.6f", delimiter=",", header="time,x (g),y (g),z (g)", comments="")


def timed(folder: Path, runs: int) -> Comparison:
    machine, recording = folder / "machine.ini", folder / "run.csv"
    machine.write_text(MACHINE, encoding="utf-8")
    write_run(recording)
    ours = [PYTHON, "-m", "cfgaudit", "measure", "resonance", str(recording), "--axis", "x", "--dry-run"]
    return compare([*ours, "--main", str(machine)], [PYTHON, "-c", LOADED, str(recording)], runs)


def main() -> None:
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else RUNS
    with tempfile.TemporaryDirectory() as folder:
        found = timed(Path(folder), runs)
    memory = max(one.mebibytes for one in found.ours)
    print(f"measure resonance: {found.ratio():.2f} times numpy.loadtxt (at most {TIMES_AT_MOST:g})")
    print(f"memory: {memory:.0f} MiB (at most {MEBIBYTES_AT_MOST:g})")
    if found.ratio() > TIMES_AT_MOST or memory > MEBIBYTES_AT_MOST:
        raise SystemExit("beyond the bounds")


if __name__ == "__main__":
    main()
