"""What results of measurements may be: the table, and what it says of records of a real run."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from cfgaudit.data import data_folder
from cfgaudit.evidence.records import quantities
from cfgaudit.evidence.records.quantities import known_quantities, known_quantity, unfit
from cfgaudit.evidence.records.read import read_evidence
from cfgaudit.evidence.records.record import MeasurementKind, Result
from cfgaudit.evidence.records.write import EvidenceNotWritten, record_text
from cfgaudit.source import Memory
from evidence.made_records import a_record

TABLE = Path(quantities.__file__).with_name("results.toml")
COMPUTED = [
    MeasurementKind.RESONANCE,
    MeasurementKind.BELTS,
    MeasurementKind.REPEATABILITY,
    MeasurementKind.HEATUP,
]


def test_the_table() -> None:
    tables = tomllib.loads(TABLE.read_text("utf-8"))
    assert list(tables) == COMPUTED
    for named in tables.values():
        for name, table in named.items():
            assert set(table) <= {"unit", "above", "at_least", "at_most", "as", "per_cent", "apart", "needed"}
            assert isinstance(table["unit"], str)
            bounds = [table[key] for key in ("above", "at_least", "at_most") if key in table]
            assert bounds == sorted(bounds), name
            assert set(table.get("apart", ())) <= {"spread", "samples"}
            assert not table.get("per_cent") or table["unit"] == "1"
            assert table.get("needed", True) is True
        assert any(table.get("needed") for table in named.values())


@pytest.mark.parametrize(
    "path", sorted(data_folder("samples").glob("heron/*/evidence/*.toml")), ids=lambda x: x.name
)
def test_what_is_measured_is_known(path: Path) -> None:
    """Every result that a command computed of a recording, with its unit."""
    found = read_evidence(Memory({f"evidence/{path.name}": path.read_bytes()}))
    (record,) = found.records
    for result in record.results if record.kind in COMPUTED else ():
        known = known_quantity(record.kind, result.name)
        assert known is not None, result.name
        assert known.unit == result.unit


@pytest.mark.parametrize(
    ("kind", "result", "key", "expected"),
    [
        ("resonance", Result("natural frequency", -61.3, "Hz"), "value", "above 0 Hz"),
        ("resonance", Result("damping", 7.0, "1"), "value", "at most 1"),
        ("resonance", Result("damping", -0.01, "1"), "value", "at least 0"),
        ("repeatability", Result("standard deviation", -1.0, "mm"), "value", "at least 0 mm"),
        ("heatup", Result("time constant", -5.0, "s"), "value", "above 0 s"),
        ("heatup", Result("ambient", -300.0, "°C"), "value", "at least -273.15 °C"),
        ("heatup", Result("gain", 230.0, "s"), "unit", 'in "K"'),
        ("belts", Result("likeness", 101.0, "%"), "value", "at most 100 %"),
    ],
)
def test_nonsense(kind: str, result: Result, key: str, expected: str) -> None:
    """Bounds that nature sets: no frequency, time or spread is negative, what rings is damped less than
    critically, and nothing is colder than 0 K."""
    assert unfit(MeasurementKind(kind), result) == (key, expected)
    with pytest.raises(EvidenceNotWritten, match="measure again"):
        record_text(a_record(MeasurementKind(kind), "x", results=(result,)))


@pytest.mark.parametrize("kind", COMPUTED)
def test_a_record_without_its_main_result_is_not_written(kind: MeasurementKind) -> None:
    with pytest.raises(EvidenceNotWritten, match="is missing: measure again"):
        record_text(a_record(kind, "x", results=(Result("top", 21.0, "°C"),)))


@pytest.mark.parametrize("kind", list(MeasurementKind))
def test_what_is_not_known_is_left_alone(kind: MeasurementKind) -> None:
    assert unfit(kind, Result("colour of the day", -1e300, "dB")) is None
    assert unfit(MeasurementKind.RESONANCE, Result("damping", 0.07, "")) is None, "no unit is said"


def test_several_of_one_kind() -> None:
    names = known_quantities()
    assert (
        known_quantity(MeasurementKind.RESONANCE, "natural frequency 12")
        is names[COMPUTED[0], "natural frequency"]
    )
    assert known_quantity(MeasurementKind.RESONANCE, "natural frequency two") is None
