"""Hours of wear: counted since a part was replaced, at any moment."""

from __future__ import annotations

from datetime import timedelta

from cfgaudit.evidence.records.hours import all_hours, hours_of, limit_of
from cfgaudit.evidence.records.record import Evidence, MeasurementKind, Record, Result
from evidence.made_records import NOON, a_record


def ran(day: int, hours: float, part: str = "belts", *, replaced: bool = False) -> Record:
    date = NOON + timedelta(days=day)
    results = (Result("hours", hours, "h"),)
    return a_record(MeasurementKind.HOURS, part, date=date, results=results, replaced=replaced)


EVIDENCE = Evidence((ran(9, 40), ran(5, 310, "Belts", replaced=True), ran(3, 12, "nozzle"), ran(1, 280)))


def test_since_it_was_replaced() -> None:
    found = {one.part: (one.hours, one.since) for one in all_hours(EVIDENCE)}
    assert found == {"belts": (40, NOON + timedelta(days=5)), "nozzle": (12, None)}


def test_at_a_moment() -> None:
    hours = {
        day: one.hours if (one := hours_of(EVIDENCE, "BELTS", NOON + timedelta(days=day))) else None
        for day in (0, 1, 4, 5, 8, 9)
    }
    assert hours == {0: None, 1: 280, 4: 280, 5: 0, 8: 0, 9: 40}
    assert hours_of(EVIDENCE, "rails") is None
    assert all_hours(Evidence((a_record(),))) == ()


def test_limits_in_any_spelling() -> None:
    assert limit_of("Rails X", {"rails-x": 500.0}) == 500.0
    assert limit_of("rails", {"rails-x": 500.0}) is None
