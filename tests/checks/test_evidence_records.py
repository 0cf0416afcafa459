"""Rules about the records themselves: which of them speak, where, and when nobody should be told."""

from __future__ import annotations

from datetime import timedelta

import pytest
from evidence.made_records import NOON, a_record

from cfgaudit.audit import audit_text
from cfgaudit.checks.finding import Finding, Severity
from cfgaudit.checks.run import raise_fault
from cfgaudit.evidence.records.record import DependedOn, MeasurementKind, Record, Result
from cfgaudit.evidence.records.write import record_text

RESONANCE, BELTS, HOURS = MeasurementKind.RESONANCE, MeasurementKind.BELTS, MeasurementKind.HOURS
MACHINE = """\
[accelerometer]
chip select = PA9
[axis x]
top speed = 300 mm/s
[axis y]
top speed = 300 mm/s
[axis z]
top speed = 20 mm/s
[driver x]
axis = x
running current = 1.2 A
[motor extruder]
top speed = 120 mm/s
"""
CURRENT = DependedOn("driver x", "current.run", "x", "1.2 A", "driver x", "running current")


def found(rule: str, *records: Record, text: str = MACHINE, project: str | None = None) -> list[Finding]:
    files = {"m.ini": text}
    files |= {f"evidence/{number}.toml": record_text(one) for number, one in enumerate(records)}
    findings = audit_text(files, project, on_fault=raise_fault).findings.findings
    return [one for one in findings if one.rule == rule]


def resonance(axis: str, value: str = "1.2 A", days: int = 0) -> Record:
    depends = (CURRENT._replace(value=value),) if axis == "x" else ()
    return a_record(RESONANCE, f"axis {axis}", depends=depends, date=NOON + timedelta(days=days))


def test_only_the_newest_is_stale() -> None:
    older, newer = resonance("x", "0.9 A"), resonance("x", "1.2 A", days=1)
    assert found("evidence-stale", older, newer) == []
    (one,) = found("evidence-stale", resonance("x", "1.2 A"), resonance("x", "0.9 A", days=1))
    assert one.message == (
        "resonance of axis x, measured on 2026-11-11, no longer holds: "
        "[driver x] running current was 0.9 A and is 1.2 A now"
    )
    assert (one.where.file, one.where.line, one.severity) == ("m.ini", 11, Severity.NOTE)


def test_many_reasons_are_counted() -> None:
    depends = tuple(CURRENT._replace(section=f"driver {name}", role="gear.ratio") for name in "abcdef")
    (one,) = found("evidence-stale", resonance("x")._replace(depends=depends))
    assert one.message.endswith("; and 4 more")
    assert "\n" not in one.message


def test_a_declared_change_stands_where_the_part_is() -> None:
    change = a_record(
        MeasurementKind.HARDWARE, "new rails\n", affects=("axis.*",), date=NOON + timedelta(days=1)
    )
    places = {one.where.line for one in found("evidence-stale", resonance("x"), resonance("y"), change)}
    assert places == {3, 5}
    (one,) = found("evidence-stale", a_record(part="noise"), change._replace(affects=("noise",)))
    assert (one.where.file, one.where.line) == ("evidence/0.toml", 1)


def test_a_fingerprint_outlives_the_lines() -> None:
    stale = resonance("x", "0.9 A")
    (one,) = found("evidence-stale", stale)
    (other,) = found("evidence-stale", stale, text="; a line\n\n" + MACHINE)
    assert one.fingerprint == other.fingerprint
    assert one.where.line + 2 == other.where.line


def test_what_is_broken_and_what_is_not_toml_at_all() -> None:
    files = {"m.ini": MACHINE, "evidence/a.toml": "form = 1\nkind = 'colour'\n", "evidence/b.toml": "= 3\n"}
    found = [one for one in audit_text(files).findings.findings if one.rule == "evidence-broken"]
    assert [(one.where.file, one.where.line) for one in found] == [
        ("evidence/a.toml", 2),
        ("evidence/b.toml", 1),
    ]
    assert len({one.fingerprint for one in found}) == 2


def test_a_forgotten_axis() -> None:
    """Y is as fast as X; Z is slow, and the feeder is shaken by nobody."""
    (one,) = found("evidence-missing", resonance("x"))
    assert (one.where.line, one.severity) == (6, Severity.NOTE)
    assert one.message == "axis y moves with up to 300 mm/s, and was never measured"
    assert found("evidence-missing", resonance("x"), resonance("y")) == []
    assert found("evidence-missing", resonance("x"), project="[limits]\nevidence-missing.fast = 400\n") == []


@pytest.mark.parametrize(
    "records",
    [
        (),
        (a_record(),),
        (a_record(HOURS, "belts", results=(Result("hours", 3.0, "h"),)),),
        (a_record(MeasurementKind.HARDWARE, "new rails", affects=("axis.x",)),),
    ],
)
def test_nothing_is_missing_where_nobody_measures(records: tuple[Record, ...]) -> None:
    assert found("evidence-missing", *records) == []


def test_an_accelerometer_is_needed() -> None:
    """Without one in the configuration, one that was clipped on before will do."""
    text = MACHINE.replace("[accelerometer]\nchip select = PA9\n", "")
    heatup = a_record(MeasurementKind.HEATUP, "heater bed")
    assert found("evidence-missing", heatup, text=text) == []
    assert len(found("evidence-missing", heatup)) == 2
    assert len(found("evidence-missing", a_record(BELTS, "belts"), text=text)) == 2


def test_hours_against_limits() -> None:
    record = a_record(HOURS, "Rails X", results=(Result("hours", 512.25, "h"),))
    project = "[hours]\nrails-x = 500\n"
    (one,) = found("hours-exceeded", record, project=project)
    assert one.message == "Rails X: 512.25 h of use, more than the 500 h that cfgaudit.toml allows"
    assert (one.where.file, one.severity) == ("evidence/0.toml", Severity.WARNING)
    assert '{ name = "hours"' in record_text(record).splitlines()[one.where.line - 1]
    slightly = record._replace(results=(Result("hours", 500.04, "h"),))
    assert found("hours-exceeded", slightly, project=project)[0].message == (
        "Rails X: 500.04 h of use, more than the 500 h that cfgaudit.toml allows"
    )
    assert found("hours-exceeded", record) == []
    assert found("hours-exceeded", record, project="[hours]\nrails-x = 512.25\n") == []
    replaced = record._replace(date=NOON + timedelta(days=1), replaced=True)
    assert found("hours-exceeded", record, replaced, project=project) == []
