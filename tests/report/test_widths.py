"""Every report on the sample machines and every rule's page fits 80 and 120 columns, and narrow windows."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from cfgaudit.audit import Audit, audit
from cfgaudit.data import data_folder
from cfgaudit.report.lines import breadth, plain
from cfgaudit.source import Memory
from report.all_reports import rule_reports, text_reports

SAMPLES = data_folder("samples")
MACHINES = {
    "heron": ("heron.ini", ("heron/base",)),
    "upgraded heron": ("heron.ini", ("heron/base", "heron/upgrade")),
    "gannet": ("gannet.conf", ("gannet",)),
}


@cache
def audited(machine: str) -> Audit:
    main, folders = MACHINES[machine]
    files: dict[str, bytes] = {}
    for folder in (SAMPLES / name for name in folders):
        for path in folder.rglob("*.[ic]*"):
            files[path.relative_to(folder).as_posix()] = Path(path).read_bytes()
    return audit(Memory(files), main)


@pytest.mark.parametrize("width", [40, 80, 120])
@pytest.mark.parametrize("machine", MACHINES)
def test_reports_on_samples(machine: str, width: int) -> None:
    for command, lines in text_reports(audited(machine), width, name="*e*"):
        assert lines, command
        for one in lines:
            assert breadth(plain(one)) <= width, (command, plain(one))


@pytest.mark.parametrize("width", [40, 80, 120])
def test_rules(width: int) -> None:
    for command, lines in rule_reports(width):
        for one in lines:
            assert breadth(plain(one)) <= width, (command, plain(one))


@pytest.mark.parametrize("machine", MACHINES)
def test_sources_are_wrapped_not_cut(machine: str) -> None:
    """Each fact names its settings with their values; where there are many, their number alone."""
    done = audited(machine)
    reports = dict(text_reports(done, 80))
    facts = " ".join(" ".join(plain(one) for one in reports["facts"]).split())
    for fact in done.facts.facts:
        for meaning in fact.origin if len(fact.origin) <= 8 else ():
            assert " ".join(f"{meaning.setting.name} {meaning.text}".split()) in facts
    assert not any(plain(one).endswith("…") for one in reports["pins"])
