"""The sample machines: whole, clean, and found out where they were spoilt on purpose.

What is expected here was decided while the samples were written (the counts, ``faults.toml``), or is read
from their text by a few lines of this file; nothing is read back from what the program says.
"""

from __future__ import annotations

import re
import tomllib
from collections import Counter
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from cfgaudit.audit import Audit, audit
from cfgaudit.checks.finding import Severity
from cfgaudit.checks.run import raise_fault
from cfgaudit.data import data_folder
from cfgaudit.project import Project
from cfgaudit.source import Memory

SAMPLES = data_folder("samples")
HERON = SAMPLES / "heron"
MACHINES = {
    "heron": ("heron.ini", ("heron/base",)),
    "upgraded heron": (
        "heron.ini",
        ("heron/03-measured", "heron/06-files", "heron/base", "heron/11-measured", "heron/upgrade"),
    ),
    "gannet": ("gannet.conf", ("gannet",)),
}
CLEAN = ("heron", "gannet")
SUFFIXES = (".ini", ".conf")
HEAVY = (Severity.DANGER, Severity.ERROR)

ENTRY = re.compile(r"^[a-zA-Z][\w -]*[=:]", re.MULTILINE)
"""A hand-written entry: continuation lines are indented, machine-written ones begin with ``;~``."""
CHIP_PIN = re.compile(r"\b(?:(?:main|toolhead)\.(?:P[A-E]\d+|gpio\d+)|P\d\.\d+)\b")

PART_KINDS = frozenset(
    "board axis motor driver heater sensor fan guard probe mesh level servo filament shaper accelerometer"
    " motion endstop macro output light display alias supply other".split()
)
SHADOWED = {
    ("heater nozzle", "pid p"): ("24.81", "22.4"),
    ("heater nozzle", "pid i"): ("1.52", "1.35"),
    ("heater nozzle", "pid d"): ("101.3", "92.0"),
    ("probe", "offset z"): ("1.872 mm", "1.85 mm"),
}
"""What the machine wrote at the end of heron.ini, and what it shadows."""


def files_of(machine: str) -> dict[str, bytes]:
    """The machine's files by path; a later folder's files replace those of an earlier one."""
    folders = [SAMPLES / name for name in MACHINES[machine][1]]
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for folder in folders
        for path in sorted(folder.rglob("*"))
        if path.suffix in SUFFIXES or path.parent == folder / "evidence"
    }


def texts_of(machine: str) -> str:
    return "".join(data.decode() for data in files_of(machine).values())


@cache
def audited(machine: str) -> Audit:
    """Read with no configuration at all: samples must be understood as they are."""
    return audit(Memory(files_of(machine)), MACHINES[machine][0], Project(), on_fault=raise_fault)


def load(name: str) -> dict[str, Any]:
    return tomllib.loads((HERON / name).read_text("utf-8"))


FAULTS = load("upgrade/faults.toml")["fault"]
STEPS = load("history.toml")["step"]


@pytest.mark.parametrize(("machine", "files", "settings"), [("heron", 13, 400), ("gannet", 6, 120)])
def test_is_as_large_as_it_should_be(machine: str, files: int, settings: int) -> None:
    tree = audited(machine).tree
    assert len(tree.documents) >= files
    assert len(list(tree.settings())) >= settings


@pytest.mark.parametrize("machine", CLEAN)
def test_every_entry_of_every_file_is_in_the_tree(machine: str) -> None:
    tree = audited(machine).tree
    assert set(tree.documents) == set(files_of(machine))
    assert not tree.faults
    assert not tree.strangers
    assert len(list(tree.settings())) == len(ENTRY.findall(texts_of(machine)))


def test_heron_has_every_kind_of_part() -> None:
    assert {part.kind for part in audited("heron").machine.parts} == PART_KINDS


def test_what_heron_wrote_itself_shadows_what_hands_wrote() -> None:
    settings = [one for one in audited("heron").tree.settings() if len(one.occurrences) > 1]
    found = {(one.section, one.name): (one.value, one.shadows[0].value) for one in settings}
    assert found == SHADOWED
    assert {one.effective.author for one in settings} == {"machine"}


def test_pins_are_used_once_but_for_the_bus_of_the_lift() -> None:
    uses = Counter(CHIP_PIN.findall(texts_of("heron")))
    assert {pin: count for pin, count in uses.items() if count > 1} == {"main.PD11": 3}
    uses = Counter(CHIP_PIN.findall(texts_of("gannet")))
    assert set(uses.values()) == {1}


@pytest.mark.parametrize("machine", CLEAN)
def test_a_correct_machine_gets_no_finding(machine: str) -> None:
    assert [told(one) for one in audited(machine).findings.findings] == []


def told(finding: Any) -> str:
    where = finding.where
    return f"{finding.severity} {finding.rule} {where.file}:{where.line} {finding.message}"


def test_the_upgrade_changes_what_it_holds() -> None:
    base = files_of("heron")
    for path in sorted((HERON / "upgrade").rglob("*.ini")):
        assert base.get(path.relative_to(HERON / "upgrade").as_posix()) != path.read_bytes()


def test_faults_are_many_different_and_stand_on_written_lines() -> None:
    files = files_of("upgraded heron")
    assert len(FAULTS) >= 14
    assert len({fault["rule"] for fault in FAULTS}) == len(FAULTS)
    for fault in FAULTS:
        assert files[fault["file"]].decode().splitlines()[fault["line"] - 1].strip()
        assert fault["what"].endswith(".")


@pytest.mark.parametrize("fault", FAULTS, ids=[fault["rule"] for fault in FAULTS])
def test_a_planted_fault_is_found_at_its_line(fault: dict[str, Any]) -> None:
    places = [(one.where.file, one.where.line) for one in _findings(fault["rule"])]
    assert places == [(fault["file"], fault["line"])]


def _findings(rule: str) -> Iterator[Any]:
    return (one for one in audited("upgraded heron").findings.findings if one.rule == rule)


def test_nothing_else_in_the_upgrade_is_an_error_or_a_danger() -> None:
    planted = {(fault["rule"], fault["file"], fault["line"]) for fault in FAULTS}
    heavy = [one for one in audited("upgraded heron").findings.findings if one.severity in HEAVY]
    assert [told(one) for one in heavy if (one.rule, one.where.file, one.where.line) not in planted] == []


def test_history_can_be_built_as_its_head_says() -> None:
    known = {"message", "date", "author", "email", "files", "remove", "move", "mark", "committed"}
    for step in STEPS:
        assert {"message", "date", "author", "email"} <= set(step) <= known
        assert step["date"].tzinfo is not None
        assert step["email"].endswith("@example.org")
        assert step.get("files") or step.get("move") or step.get("remove")
        assert all(held(name) for name in step.get("files", []))
    assert [step["date"] for step in STEPS] == sorted(step["date"] for step in STEPS)
    assert [step.get("committed", True) for step in STEPS] == [True] * (len(STEPS) - 1) + [False]


def held(name: str) -> bool:
    """Whether a step can copy it: a folder of the sample, or one file in it."""
    return (HERON / name).is_file() if "/" in name else (HERON / name).is_dir()


def test_the_last_commit_is_the_clean_machine() -> None:
    """What the steps leave behind, followed with a few lines of our own, is what ``base`` holds."""
    files: dict[str, bytes] = {}
    for step in STEPS[:-1]:
        for path in step.get("remove", []):
            del files[path]
        for old, new in step.get("move", []):
            files[new] = files.pop(old)
        for name in step.get("files", []):
            files.update(copied(name))
    assert files == files_of("heron")


def copied(name: str) -> dict[str, bytes]:
    folder = HERON / name.partition("/")[0]
    paths = [HERON / name] if "/" in name else sorted(folder.rglob("*.ini"))
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in paths}


def test_every_folder_of_the_history_is_used() -> None:
    folders = {path.name for path in HERON.iterdir() if path.is_dir()} - {"measuring"}
    assert folders == {name.partition("/")[0] for step in STEPS for name in step.get("files", [])}


def test_samples_need_no_configuration_of_ours() -> None:
    assert not [path for path in SAMPLES.rglob("cfgaudit.toml") if Path(path).is_file()]
