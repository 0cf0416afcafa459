"""What was measured of Heron: the records are what the real commands say of the simulated raw files."""

from __future__ import annotations

import hashlib
import os
import sys
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from cfgaudit.data import data_folder
from cfgaudit.evidence.records.read import read_evidence
from cfgaudit.evidence.records.record import Evidence, Record
from cfgaudit.history.story import binds
from cfgaudit.working_tree import WorkingTree

HERON = data_folder("samples") / "heron"
AGAIN = ("resonance", "belts", "repeatability", "heatup", "hours", "value", "hardware")


@pytest.fixture(scope="module")
def take() -> Iterator[ModuleType]:
    """The script that takes the records."""
    with pytest.MonkeyPatch.context() as patch:
        patch.syspath_prepend(str(HERON / "measuring"))
        patch.setattr(sys, "dont_write_bytecode", True)
        patch.setenv("PYTHONDONTWRITEBYTECODE", "1")
        for name in [name for name in os.environ if binds(name)]:
            patch.delenv(name)
        import take

        yield take
        for name in ("take", "simulate"):
            sys.modules.pop(name, None)


def records(into: str) -> Evidence:
    found = read_evidence(WorkingTree(HERON / into))
    assert found.broken == ()
    return found


def record_of(run: dict[str, Any]) -> Record:
    kind = run["command"][0]
    (found,) = (one for one in records(run["into"]).records if one.date == run["date"] and one.kind == kind)
    return found


def test_every_record_is_of_a_run_and_every_run_has_one(take: ModuleType) -> None:
    runs = take.runs()
    kept = {one.file for folder in take.folders() for one in records(folder).records}
    assert len(kept) == len(runs) == len({record_of(run).file for run in runs})


def test_the_raw_files_are_those_of_the_records_and_say_that_they_are_simulated(take: ModuleType) -> None:
    import simulate

    for run in take.runs():
        made = simulate.raw_files(run)
        assert all("not a recording of a real machine" in text.splitlines()[0] for text in made.values())
        assert {(one.name, one.sha256) for one in record_of(run).raw} == {
            (name, hashlib.sha256(text.encode()).hexdigest()) for name, text in made.items()
        }


def test_what_was_found_is_what_was_simulated(take: ModuleType) -> None:
    """Within the bounds of a good measurement: 1 % of the frequency, 15 % of the damping."""
    for run in take.runs():
        if run["command"][0] == "resonance":
            (true,), found = run["simulate"], record_of(run)
            results = {one.name: one.value for one in found.results}
            assert results["natural frequency"] == pytest.approx(true["frequency"], rel=0.01)
            assert results["damping"] == pytest.approx(true["damping"], rel=0.15)


@pytest.mark.parametrize("kind", AGAIN)
def test_measuring_again_gives_the_record(kind: str, take: ModuleType, tmp_path: Path) -> None:
    """The last run of each kind, by the real command, in the state of that day."""
    run = [one for one in take.runs() if one["command"][0] == kind][-1]
    take.write_all(tmp_path, [run])
    with take.heron(HERON, run["after"], run.get("evening", False)) as folder:
        for one in (folder / "evidence").glob(f"{run['date'].date()}*"):
            one.unlink()  # it is taken anew
        again = take.measured(run, folder, tmp_path)
    kept = record_of(run)
    assert again._replace(file="", results=()) == kept._replace(file="", results=())
    assert [(one.name, one.unit, one.samples) for one in again.results] == [
        (one.name, one.unit, one.samples) for one in kept.results
    ]
    for new, old in zip(again.results, kept.results, strict=True):
        assert new.value == pytest.approx(old.value, rel=1e-3, abs=1e-9), new.name
