"""One recording kept twice: of the same part, of another one, and of columns of one table."""

from __future__ import annotations

from datetime import timedelta

import pytest

from cfgaudit.audit import audit_text
from cfgaudit.evidence.records.again import kept_before, kept_of_another
from cfgaudit.evidence.records.record import Evidence, MeasurementKind, RawFile, Record, Result
from cfgaudit.report.evidence import kept_before_lines
from cfgaudit.report.lines import plain
from evidence.made_records import NOON, a_record

RESONANCE, BELTS, HEATUP = MeasurementKind.RESONANCE, MeasurementKind.BELTS, MeasurementKind.HEATUP
MACHINE = audit_text(
    {
        "m.ini": "[axis x]\nfull steps = 200\n[axis y]\nfull steps = 200\n"
        "[heater bed]\ndrive = PD12\n[heater nozzle]\ndrive = PD13\n"
    }
).machine


def recorded(kind: MeasurementKind, part: str, *raw: str, gain: float = 190.0, days: int = 0) -> Record:
    """A record of files whose digests are their names."""
    record = a_record(kind, part, raw=tuple(RawFile(f"{one}.csv", one) for one in raw))
    if kind is HEATUP:
        record = record._replace(results=(Result("gain", gain, "K"), Result("time constant", 900.0, "s")))
    return record._replace(file=f"evidence/{days}.toml", date=NOON - timedelta(days=days))


def test_the_newest_record_of_the_same_file_is_named() -> None:
    old, older = recorded(RESONANCE, "axis x", "a", days=1), recorded(RESONANCE, "axis x", "a", days=2)
    other = recorded(BELTS, "belts", "a", "b", days=3)
    evidence = Evidence((old, older, other))
    assert [one.record for one in kept_before(recorded(RESONANCE, "axis x", "a"), evidence)] == [old]
    assert kept_before(recorded(RESONANCE, "axis x", "c"), evidence) == ()
    assert kept_of_another(recorded(RESONANCE, "Axis-X", "a"), evidence, MACHINE) is None


def test_belts_are_two_files() -> None:
    evidence = Evidence(
        (recorded(BELTS, "belts", "a", "b", days=1), recorded(RESONANCE, "axis x", "c", days=2))
    )
    both = kept_before(recorded(BELTS, "belts", "b", "a"), evidence)
    assert [one.raw.name for one in both] == ["b.csv", "a.csv"]
    assert [plain(one) for one in kept_before_lines(both, 80)] == [
        "b.csv and a.csv were kept before, in evidence/1.toml: they count once."
    ]
    one = kept_before(recorded(BELTS, "belts", "a", "c"), evidence)
    assert [plain(line) for line in kept_before_lines(one, 80)] == [
        "a.csv was kept before, in evidence/1.toml: it counts once."
    ]


def test_one_run_shakes_one_axis() -> None:
    old = recorded(RESONANCE, "axis x", "a", days=1)
    found = kept_of_another(recorded(RESONANCE, "axis y", "a"), Evidence((old,)), MACHINE)
    assert found is not None
    assert (found.raw.name, found.record) == ("a.csv", old)


def test_a_part_that_is_gone_is_called_otherwise() -> None:
    evidence = Evidence((recorded(RESONANCE, "axis u", "a", days=1),))
    assert kept_of_another(recorded(RESONANCE, "axis y", "a"), evidence, MACHINE) is None


@pytest.mark.parametrize(("gain", "is_wrong"), [(190.0, True), (80.0, False)])
def test_a_table_may_hold_two_heaters(gain: float, is_wrong: bool) -> None:
    """Of one column of temperatures only one heater can be told; of two the gains differ."""
    evidence = Evidence((recorded(HEATUP, "heater bed", "a", days=1),))
    new = recorded(HEATUP, "heater nozzle", "a", gain=gain)
    assert (kept_of_another(new, evidence, MACHINE) is not None) is is_wrong
