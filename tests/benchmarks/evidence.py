"""``cfgaudit check`` with and without records: ``evidence.py [RECORDS] [LINES] [RUNS]``.

The same machine twice, once with a year's RECORDS of its axes, probe, heaters, parts and numbers beside it,
each with the settings that it depends on. Whole processes in turn, processor time, medians. The tables of the
records are kept from the first run on; with ``--first`` that folder is emptied before every run instead.
Needs a POSIX system.
"""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from itertools import cycle, islice
from pathlib import Path
from statistics import median

from check import Comparison, compare, run
from generate import write_trees

from cfgaudit.audit import understand
from cfgaudit.evidence.records.dependencies import dependencies, settings_digest
from cfgaudit.evidence.records.quantities import needed_results
from cfgaudit.evidence.records.record import MeasurementKind, RawFile, Record, Result
from cfgaudit.evidence.records.write import write_record
from cfgaudit.machine.model import Machine
from cfgaudit.project import Project
from cfgaudit.working_tree import WorkingTree

RECORDS, LINES, RUNS = 100, 6000, 31
START = datetime(2026, 1, 1, 8, tzinfo=UTC)


def write_records(folder: Path, main: str, count: int) -> None:
    """Records of the machine below a folder."""
    machine = understand(WorkingTree(folder), main, Project()).machine
    for record in islice(records(machine), count):
        write_record(folder, record)


def records(machine: Machine) -> Iterator[Record]:
    """One after another, of everything in turn, without end."""
    digest = settings_digest(machine.reading.tree)
    for day, (kind, part) in enumerate(cycle(measured(machine))):
        hours = (Result("hours", float(day), "h"),)
        results = hours if kind is MeasurementKind.HOURS else (*RESULTS, *main_results(kind))
        yield Record(
            "",
            kind,
            START + timedelta(days=3.6 * day),
            part,
            "0" * 40,
            digest,
            results,
            dependencies(kind, part, machine),
            (RawFile("run.csv", "0" * 64),),
            "sensor on the carriage",
            "warm, a spool on top",
        )


def main_results(kind: MeasurementKind) -> tuple[Result, ...]:
    """The results without which a record of that kind is none."""
    return tuple(Result(name, 60.0, "", 3, 0.2) for name in needed_results(kind))


RESULTS = tuple(Result(f"natural frequency {number}", 60.0 + number, "Hz", 3, 0.2) for number in range(1, 5))


def measured(machine: Machine) -> list[tuple[MeasurementKind, str]]:
    found = [(MeasurementKind.RESONANCE, f"axis {axis.letter}") for axis in machine.axes()]
    found += [(MeasurementKind.HEATUP, heater.title) for heater in machine.kind("heater")][:4]
    found += [(MeasurementKind.REPEATABILITY, probe.title) for probe in machine.kind("probe")][:1]
    found += [(MeasurementKind.BELTS, "belts"), (MeasurementKind.VALUE, "noise")]
    return [*found, (MeasurementKind.HOURS, "belts"), (MeasurementKind.HOURS, "rails")]


def compared(one: Path, other: Path, runs: int, kept: Path | None) -> Comparison:
    """Both in turn. ``kept`` is emptied before every run."""
    ours, theirs = ([sys.executable, "-m", "cfgaudit", "check", str(main)] for main in (one, other))
    if kept is None:
        return compare(ours, theirs, runs)
    pairs = []
    for _ in range(runs):
        pair = []
        for command in (ours, theirs):
            shutil.rmtree(kept, ignore_errors=True)
            pair.append(run(command))
        pairs.append(pair)
    return Comparison([first for first, _ in pairs], [second for _, second in pairs])


def main() -> None:
    first = "--first" in sys.argv
    numbers = [int(word) for word in sys.argv[1:] if word != "--first"]
    count, lines, runs = (*numbers, *(RECORDS, LINES, RUNS)[len(numbers) :])
    with tempfile.TemporaryDirectory() as folder:
        os.environ["XDG_CACHE_HOME"] = f"{folder}/cache"
        plain, full = (write_trees(Path(folder, name), lines=lines) for name in ("plain", "full"))
        write_records(full.main.parent, full.main.name, count)
        found = compared(full.main, plain.main, runs, Path(folder, "cache") if first else None)
        took = [1000 * median(one.seconds for one in side) for side in found]
        print(f"{plain.lines} lines, {count} records, {'nothing' if first else 'tables'} kept")
        print(f"  with {took[0]:.0f} ms, without {took[1]:.0f} ms")
        print(f"  check takes {found.ratio():.3f} times as long with records")


if __name__ == "__main__":
    main()
