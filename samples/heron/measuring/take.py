"""Measure Heron: every run of runs.toml, by the real commands, in the state that Heron was in on that day.

    python take.py [FOLDER]

puts the records where the story takes them from, or leaves the sample as it is and makes FOLDER, a copy with
the records. They are taken one after the other, for a record holds the id of the commit that it belongs to,
and later commits hold earlier records. Only the date is not that of the command. It needs cfgaudit with the
extra measure, and git.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from itertools import groupby
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from simulate import HERE, runs, write_all

from cfgaudit.evidence.records.read import read_evidence
from cfgaudit.evidence.records.record import FOLDER, Record
from cfgaudit.evidence.records.write import write_record
from cfgaudit.history.story import binds, load_story, write_story
from cfgaudit.working_tree import WorkingTree

SAMPLE = HERE.parent
COMMAND = [sys.executable, "-c", "from cfgaudit.cli.main import main; main()", "measure"]


def take(sample: Path) -> None:
    """Make a copy of Heron's sample in which all is measured anew."""
    shutil.copytree(SAMPLE, sample)
    for into in folders():
        shutil.rmtree(sample / into / FOLDER, ignore_errors=True)
        (sample / into).mkdir(exist_ok=True)
    for (after, evening), some in groupby(runs(), key=lambda run: (run["after"], run.get("evening", False))):
        taken = list(some)
        with heron(sample, after, evening) as folder, TemporaryDirectory() as raw:
            write_all(Path(raw), taken)
            for run in taken:
                write_record(sample / run["into"], measured(run, folder, Path(raw)))


def folders() -> set[str]:
    """The steps' folders that hold records."""
    return {run["into"] for run in runs()}


def take_over(sample: Path) -> None:
    """Put the records of a copy in place of the sample's own."""
    for into in folders():
        shutil.rmtree(SAMPLE / into / FOLDER, ignore_errors=True)
        shutil.copytree(sample / into / FOLDER, SAMPLE / into / FOLDER)


@contextmanager
def heron(sample: Path, steps: int, evening: bool) -> Iterator[Path]:
    """The machine's repository after so many steps, with the last one's uncommitted work or without."""
    story = load_story(sample)
    told = (*story.steps[:steps], *(story.steps[-1:] if evening else ()))
    with TemporaryDirectory() as folder:
        write_story(replace(story, steps=told), Path(folder))
        yield Path(folder)


def measured(run: Mapping[str, Any], folder: Path, raw: Path) -> Record:
    """The record that the real command writes, with the date of the story."""
    main = folder / "heron.ini"
    before = {one.file for one in read_evidence(WorkingTree(folder)).records}
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(map(os.path.abspath, filter(None, sys.path)))}
    subprocess.run(
        [*COMMAND, *run["command"], "--main", str(main)],
        cwd=raw,
        env=environment,
        stdout=subprocess.DEVNULL,
        check=True,
    )
    (record,) = (one for one in read_evidence(WorkingTree(folder)).records if one.file not in before)
    dated = record._replace(date=run["date"])
    (folder / record.file).unlink()
    write_record(folder, dated)  # the next command may ask for it
    return dated


if __name__ == "__main__":
    for name in [name for name in os.environ if binds(name)]:
        del os.environ[name]
    with TemporaryDirectory() as work:
        made = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(work, "heron")
        take(made)
        if len(sys.argv) == 1:
            take_over(made)
