"""Records for tests, and strategies that make any."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone

from hypothesis import strategies as st

from cfgaudit.evidence.records.quantities import needed_results
from cfgaudit.evidence.records.record import DependedOn, MeasurementKind, RawFile, Record, Result

NOON = datetime(2026, 11, 10, 12, 0, tzinfo=timezone(timedelta(hours=1)))


def a_record(
    kind: MeasurementKind = MeasurementKind.VALUE, part: str = "print-time", **given: object
) -> Record:
    """A record of noon, whose settings nobody has any more."""
    results = () if kind is MeasurementKind.HARDWARE else (Result("any", 1.0, "1"), *main_results(kind))
    record = Record("evidence/one.toml", kind, NOON, part, None, "0" * 64, results)
    return record._replace(**given)  # type: ignore[arg-type]


def main_results(kind: MeasurementKind) -> tuple[Result, ...]:
    """The results without which a record of that kind is none."""
    return tuple(Result(name, 1.0, "") for name in needed_results(kind))


TEXTS = st.text(st.characters(exclude_categories=["Cs"]), max_size=20)
"""Any text that UTF-8 can carry: quotes, line ends, controls, letters of any script."""
NAMES = TEXTS.filter(lambda text: bool(text.strip()))
RAGGED = st.binary(max_size=12).map(lambda data: data.decode("utf-8", "surrogateescape"))
"""Texts as they are read from files that are no UTF-8."""
NUMBERS = st.floats(allow_nan=False, allow_infinity=False)
DATES = st.datetimes(
    datetime(1, 1, 2),
    datetime(9999, 12, 30),
    timezones=st.integers(-1439, 1439).map(lambda minutes: timezone(timedelta(minutes=minutes))),
).map(lambda date: date.replace(microsecond=date.microsecond // 1000 * 1000))
RESULTS = st.builds(
    Result,
    NAMES,
    NUMBERS,
    TEXTS,
    st.integers(1, 10**6),
    st.none() | st.floats(0, allow_infinity=False),
    st.sampled_from(("", "higher", "lower")),
)
SETTINGS = st.builds(DependedOn, TEXTS, TEXTS, st.none() | TEXTS, TEXTS, TEXTS, TEXTS)
RECORDS = st.builds(
    Record,
    st.just(""),
    st.sampled_from([one for one in MeasurementKind if one is not MeasurementKind.HOURS]),
    DATES,
    NAMES,
    st.none() | st.text("0123456789abcdef", min_size=40, max_size=40),
    TEXTS,
    st.lists(RESULTS, min_size=1, max_size=3).map(tuple),
    st.lists(SETTINGS, max_size=3).map(tuple),
    st.lists(st.builds(RawFile, TEXTS, TEXTS), max_size=2).map(tuple),
    TEXTS,
    TEXTS,
    TEXTS,
    st.lists(NAMES, max_size=2).map(tuple),
    st.booleans(),
    st.just(1),
    TEXTS,
    st.lists(SETTINGS, max_size=2).map(tuple),
    TEXTS,
    st.lists(NAMES, max_size=2).map(tuple),
).map(lambda one: one._replace(results=(*one.results, *main_results(one.kind))))
