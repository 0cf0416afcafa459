"""Records and hours as text: in every width, and whatever a record says."""

from __future__ import annotations

import json
import unicodedata
from pathlib import Path

import pytest
from evidence.made_records import NOON, RECORDS, a_record
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.evidence.records.hours import all_hours
from cfgaudit.evidence.records.record import (
    BrokenRecord,
    DependedOn,
    Evidence,
    MeasurementKind,
    Record,
    Result,
    Staleness,
)
from cfgaudit.history.change import Mark
from cfgaudit.report.evidence import (
    amount_text,
    declared,
    evidence_form,
    evidence_lines,
    kept_form,
    kept_lines,
    record_lines,
)
from cfgaudit.report.hours import hours_form, hours_lines, hours_told
from cfgaudit.report.json_form import dump
from cfgaudit.report.lines import Line, breadth, plain

LONG = "a word " * 20 + "x" * 130
MANY = a_record(
    MeasurementKind.RESONANCE,
    "axis x",
    results=tuple(
        Result(f"natural frequency {number}", 61.3 * number, "Hz", 3, 0.2) for number in range(1, 9)
    ),
    depends=(DependedOn("driver x", "current.run", "x", "1.2 A", LONG, "running current"),),
    instrument=LONG,
    note=LONG,
    commit="0123456789" * 4,
)
STALE = Staleness(MANY, (LONG, "[driver x] running current was 1.2 A and is 1.4 A now"))
BROKEN = BrokenRecord("evidence/" + "y" * 90 + ".toml", 3, LONG)


def held(lines: list[Line], width: int) -> str:
    """The text of lines that fit, with nothing in it that a terminal acts on."""
    for one in lines:
        assert breadth(plain(one)) <= width, plain(one)
    told = "\n".join(map(plain, lines))
    assert not [one for one in told if unicodedata.category(one) in ("Cc", "Cs", "Cf") and one != "\n"]
    return told


@pytest.mark.parametrize("width", [40, 80, 120])
def test_widths(width: int) -> None:
    evidence = Evidence((MANY, a_record(file="evidence/two.toml")), (BROKEN,))
    told = held(list(evidence_lines(evidence, (STALE,), width)), width)
    assert " ".join(told.split()).endswith("2 records, 1 of them stale, and 1 file that is none.")
    assert told.count("stale  ") == 2
    held(list(record_lines(MANY, STALE.reasons, width)), width)
    held(list(kept_lines(LONG, Path("evidence") / ("y" * 100), width)), width)


@pytest.mark.parametrize("width", [40, 80, 120])
def test_hours(width: int) -> None:
    hours = Result("hours", 1234.5, "h")
    records = (
        a_record(MeasurementKind.HOURS, "belts", results=(hours,), replaced=False),
        a_record(MeasurementKind.HOURS, LONG, results=(hours,), replaced=True),
    )
    mark = Mark("good/2026-11-10", "0" * 40, NOON, "Ilse", LONG)
    now = all_hours(Evidence(records))
    told = held(list(hours_lines(now, [(mark, now)], {"Belts": 500.0, "rails": 9.0}, width)), width)
    words = " ".join(told.split())
    assert "belts 1234.5 h of 500 h: beyond its limit (recorded 2026-11-10)" in words
    assert "With a limit, but without hours: rails (9 h)." in words
    assert json.loads(dump(hours_form(now, [(mark, now)], {"Belts": 500.0})))["parts"][1]["limit"] == 500.0


@given(st.lists(RECORDS, max_size=4), st.integers(40, 120), st.text(max_size=40))
@settings(max_examples=60)
def test_any_record(records: list[Record], width: int, text: str) -> None:
    numbered = tuple(one._replace(file=f"evidence/{number}.toml") for number, one in enumerate(records))
    evidence = Evidence(numbered, (BrokenRecord("evidence/a.toml", 1, text),))
    stale = [Staleness(one, (text,)) for one in numbered]
    held(list(evidence_lines(evidence, stale, width)), width)
    assert json.loads(dump(evidence_form("main.ini", evidence, stale)))["schema"] == 1
    for one in numbered:
        held(list(record_lines(one, (text,), width)), width)
        held(list(kept_lines(declared(one), None, width)), width)
        assert json.loads(dump(kept_form(one, None)))["record"] is None
        hours_told(one, {})


@pytest.mark.parametrize(
    ("result", "told"),
    [
        (Result("a", 61.25, "Hz"), "61.25 Hz"),
        (Result("a", 0.07, "1"), "0.07"),
        (Result("a", 3.0, ""), "3"),
        (Result("a", 61.5, "min", 2, 0.70710678), "61.5 min (mean of 2, standard deviation 0.71 min)"),
        (Result("a", 0.0025, "mm", 20), "0.0025 mm (of 20)"),
    ],
)
def test_amounts(result: Result, told: str) -> None:
    assert amount_text(result) == told
