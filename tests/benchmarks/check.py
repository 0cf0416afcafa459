"""All of ``cfgaudit check`` against other programs: ``python tests/benchmarks/check.py [LINES] [RUNS]``.

Every program runs as a process of its own, in turn with what it is compared with, so that whatever else the
machine does meets both; medians are printed with their ratio. Time is what the processor spends, which hardly
depends on what else runs; memory is the largest resident set. Needs a POSIX system, and yamllint.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

from generate import Trees, write_trees

LINES, RUNS = 6000, 15
PYTHON = sys.executable
KIBIBYTES = 1024 if sys.platform != "darwin" else 1024 * 1024
"""To MiB from what the system gives: KiB, but bytes on macOS."""


class Run(NamedTuple):
    """What one process took."""

    seconds: float
    mebibytes: float


class Comparison(NamedTuple):
    """The runs of two commands that ran in turn."""

    ours: list[Run]
    theirs: list[Run]

    def ratio(self) -> float:
        return _seconds(self.ours) / _seconds(self.theirs)


def run(command: Sequence[str]) -> Run:
    """Run a command to its end, its output thrown away."""
    # Files that are installed are compiled; so are those of a checkout after their first run.
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    silent = subprocess.DEVNULL
    process = subprocess.Popen(command, stdout=silent, stderr=silent, env=environment)
    _, status, used = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode not in (0, 1):
        raise SystemExit(f"{' '.join(command)} failed with exit status {process.returncode}")
    return Run(used.ru_utime + used.ru_stime, used.ru_maxrss / KIBIBYTES)


def compare(ours: Sequence[str], theirs: Sequence[str], runs: int) -> Comparison:
    """Both commands once to warm up, then in turn."""
    run(ours), run(theirs)
    pairs = [(run(ours), run(theirs)) for _ in range(runs)]
    return Comparison([one for one, _ in pairs], [other for _, other in pairs])


def check(trees: Trees) -> list[str]:
    return [PYTHON, "-m", "cfgaudit", "check", str(trees.main)]


def yamllint(trees: Trees) -> list[str]:
    return [PYTHON, "-m", "yamllint", str(trees.yaml_folder)]


def _seconds(runs: Sequence[Run]) -> float:
    return statistics.median(one.seconds for one in runs)


def _shown(runs: Sequence[Run]) -> str:
    return f"{1000 * _seconds(runs):.0f} ms, {max(one.mebibytes for one in runs):.0f} MiB"


def main() -> None:
    lines = int(sys.argv[1]) if len(sys.argv) > 1 else LINES
    runs = int(sys.argv[2]) if len(sys.argv) > 2 else RUNS
    with tempfile.TemporaryDirectory() as folder:
        once = write_trees(Path(folder, "once"), lines=lines)
        twice = write_trees(Path(folder, "twice"), lines=2 * lines)
        against = compare(check(once), yamllint(once), runs)
        print(f"{once.lines} lines: check {_shown(against.ours)}; yamllint {_shown(against.theirs)}")
        print(f"  check takes {against.ratio():.2f} times as long as yamllint")
        growth = compare(check(twice), check(once), runs)
        print(f"{twice.lines} lines: check {_shown(growth.ours)}")
        print(f"  {twice.lines / once.lines:.2f} times the lines take {growth.ratio():.2f} times as long")
    start = compare([PYTHON, "-m", "cfgaudit", "--version"], [PYTHON, "-c", "import typer"], runs)
    print(f"--version {_shown(start.ours)}; import typer {_shown(start.theirs)}")
    print(f"  --version takes {start.ratio():.2f} times as long as the import")


if __name__ == "__main__":
    main()
