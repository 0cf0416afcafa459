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
    Outdated,
    Record,
    Result,
    Staleness,
)
from cfgaudit.history.change import Mark
from cfgaudit.report.evidence import (
    declared,
    evidence_form,
    evidence_lines,
    kept_form,
    kept_lines,
    since_then,
)
from cfgaudit.report.hours import hours_form, hours_lines, hours_told
from cfgaudit.report.json_form import dump
from cfgaudit.report.lines import Line, breadth, plain
from cfgaudit.report.record_page import Committed, record_lines

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
ANEW = Outdated(
    MANY,
    ("remaining vibration", "acceleration ceiling"),
    ("[shaper x] frequency was 61.3 Hz and is 77 Hz now", LONG),
)
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
    told = held(list(evidence_lines(evidence, since_then((STALE,), ()), width)), width)
    assert " ".join(told.split()).endswith("2 records, 1 of them stale, and 1 file that is none.")
    assert told.count("stale  ") == 2
    for committed in (None, *Committed):
        held(list(record_lines(MANY, since_then((STALE,), (ANEW,)), committed, width)), width)
    held(list(kept_lines(LONG, Path("evidence") / ("y" * 100), width)), width)


@pytest.mark.parametrize("width", [40, 80, 120])
def test_hours(width: int) -> None:
    hours = Result("hours", 1234.5, "h")
    records = (
        a_record(MeasurementKind.HOURS, "belts", results=(hours,), replaced=False),
        a_record(MeasurementKind.HOURS, LONG, results=(hours,), replaced=True),
    )
    mark = Mark("good/2026-11-10", "0" * 40, NOON, "Ilse", f"{LONG}\n\nand what nobody needs here")
    now = all_hours(Evidence(records))
    told = held(list(hours_lines(now, [(mark, now)], {"Belts": 500.0, "rails": 9.0}, width)), width)
    words = " ".join(told.split())
    assert "nobody needs" not in words
    assert "belts 1234.5 h of 500 h: beyond its limit (recorded 2026-11-10)" in words
    assert "With a limit, but without hours: rails (9 h)." in words
    assert json.loads(dump(hours_form(now, [(mark, now)], {"Belts": 500.0})))["parts"][1]["limit"] == 500.0


@given(st.lists(RECORDS, max_size=4), st.integers(40, 120), st.text(max_size=40))
@settings(max_examples=60)
def test_any_record(records: list[Record], width: int, text: str) -> None:
    numbered = tuple(one._replace(file=f"evidence/{number}.toml") for number, one in enumerate(records))
    evidence = Evidence(numbered, (BrokenRecord("evidence/a.toml", 1, text),))
    since = since_then(
        [Staleness(one, (text,)) for one in numbered[::2]],
        [Outdated(one, (text,), (text,)) for one in numbered],
    )
    held(list(evidence_lines(evidence, since, width)), width)
    assert json.loads(dump(evidence_form("main.ini", evidence, since)))["schema"] == 1
    for one in numbered:
        held(list(record_lines(one, since, None, width)), width)
        held(list(kept_lines(declared(one, one.affects), None, width)), width)
        assert json.loads(dump(kept_form(one, None)))["record"] is None
        hours_told(one, {})


def told_of(outdated: Outdated, *stale: Staleness) -> str:
    lines = evidence_lines(Evidence((MANY,)), since_then(stale, (outdated,)), 110)
    return " ".join(" ".join(map(plain, lines)).split())


def test_what_was_chosen_anew() -> None:
    """Said of a record that holds; of a stale one, all of whose results are of then, it is no news."""
    told = told_of(ANEW)
    assert "anew [shaper x] frequency was 61.3 Hz and is 77 Hz now; " in told
    assert "; remaining vibration and acceleration ceiling are of then evidence/" in told
    assert told_of(ANEW._replace(results=("gain margin",), reasons=("a",))).count("a; gain margin is of then")
    assert "anew" not in told_of(ANEW, STALE)
    page = "\n".join(map(plain, record_lines(MANY, since_then((), (ANEW,)), Committed.UNKNOWN, 80)))
    assert "Chosen anew since\n  [shaper x] frequency was 61.3 Hz" in page
    assert "  at commit   0123456, which this repository does not have\n" in page


def test_doubts() -> None:
    """In the list, on the record's page and in JSON, before what is said of its age."""
    record = MANY._replace(doubts=("the sensor clips", "two runs disagree"))
    told = "\n".join(map(plain, evidence_lines(Evidence((record,)), since_then((STALE,), ()), 80)))
    assert "    doubtful  the sensor clips\n    doubtful  two runs disagree\n    stale " in told
    page = "\n".join(map(plain, record_lines(record, {}, None, 80)))
    assert "\nDoubtful, so that no rule is held against it\n  the sensor clips\n  two runs disagree\n" in page
    (form,) = json.loads(dump(evidence_form("main.ini", Evidence((record,)), {})))["records"]
    assert form["doubts"] == ["the sensor clips", "two runs disagree"]


def test_what_is_of_another_machine() -> None:
    other = a_record(main="gannet.ini")
    (line, *_) = evidence_lines(Evidence((), (), (other, other)), {}, 200)
    assert plain(line).endswith(" Left out: 2 records of gannet.ini.")
