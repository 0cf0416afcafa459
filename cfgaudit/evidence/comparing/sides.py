"""Which records tell of the machine before an upgrade, which of it afterwards, and which repeat others."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from typing import NamedTuple

from cfgaudit.evidence.records.record import Evidence, MeasurementKind, Record, Result
from cfgaudit.evidence.records.staleness import affects_part
from cfgaudit.tree.names import fold_name

COUNTED = (MeasurementKind.HOURS, MeasurementKind.HARDWARE)
"""Kinds that are no quantities of the machine."""

Key = tuple[MeasurementKind, str, str]
"""Kind, part and name of a quantity; texts folded."""


class Span(NamedTuple):
    """From one state of the machine to another."""

    before: datetime
    after: datetime | None
    """None for now."""
    digest: str = ""
    """Of the effective settings of the state before; empty where nobody knows."""


class Reading(NamedTuple):
    """One result, and the record that it stands in."""

    record: Record
    result: Result


class Sides(NamedTuple):
    """The readings of one quantity, newest first; a side that was not measured is empty."""

    before: tuple[Reading, ...]
    after: tuple[Reading, ...]


def sides_of(evidence: Evidence, span: Span) -> Mapping[Key, Sides]:
    """Every quantity that was measured up to the end of the span.

    What was measured up to ``span.before`` tells of the machine before, what was measured from then on of the
    machine after. But whoever measures with the settings of before, and declares a change of hardware of that
    part later, measured the machine before. Of each side the newest reading counts, and its repetitions.
    """
    earlier: list[Record] = []
    later: list[Record] = []
    for record in evidence.records:
        if record.kind in COUNTED or (span.after is not None and record.date > span.after):
            continue
        (earlier if _is_before(record, evidence, span) else later).append(record)
    old, new = _readings(earlier, evidence), _readings(later, evidence)
    return {key: Sides(old.get(key, ()), new.get(key, ())) for key in sorted({**new, **old}, key=_by_part)}


def _by_part(key: Key) -> tuple[int, str]:
    """Quantities of one part stand together, in the order of their record."""
    return list(MeasurementKind).index(key[0]), key[1]


def measured_since(evidence: Evidence, date: datetime) -> bool:
    """Whether any quantity was measured after that moment."""
    return any(one.date > date and one.kind not in COUNTED for one in evidence.records)


def same_unit(left: str, right: str) -> bool:
    """Whether two spellings mean one unit: ``mm/s2`` and ``mm/s²``."""
    return _unit_form(left) == _unit_form(right)


def _unit_form(unit: str) -> str:
    form = unicodedata.normalize("NFKC", "".join(unit.split()))
    return "" if form == "1" else form


def _is_before(record: Record, evidence: Evidence, span: Span) -> bool:
    if record.date <= span.before:
        return True
    same_settings = bool(span.digest) and record.digest == span.digest
    return same_settings and _rebuilt(evidence, record, record.date, span.after)


def _rebuilt(evidence: Evidence, record: Record, since: datetime, until: datetime | None) -> bool:
    """Whether a change of hardware that affects a record's part was declared between two moments."""
    return any(
        since < one.date and (until is None or one.date <= until)
        for one in evidence.of(MeasurementKind.HARDWARE)
        if any(affects_part(pattern, record.part) for pattern in one.affects)
    )


def _readings(records: Iterable[Record], evidence: Evidence) -> Mapping[Key, tuple[Reading, ...]]:
    """The newest reading of every quantity with its repetitions."""
    found: dict[Key, list[Reading]] = {}
    for record in records:
        for result in record.results:
            readings = found.setdefault((record.kind, fold_name(record.part), fold_name(result.name)), [])
            reading = Reading(record, result)
            if not readings or _repeats(reading, readings, evidence):
                readings.append(reading)
    return {key: tuple(readings) for key, readings in found.items()}


def _repeats(one: Reading, others: Sequence[Reading], evidence: Evidence) -> bool:
    """Whether a reading measures once more what newer ones did: the same settings and hardware, another run.

    What is computed twice from one recording is no second measurement.
    """
    newest, *_ = others
    return (
        bool(one.record.digest)
        and one.record.digest == newest.record.digest
        and same_unit(one.result.unit, newest.result.unit)
        and not any(_of_one_run(one.record, other.record) for other in others)
        and not _rebuilt(evidence, one.record, one.record.date, newest.record.date)
    )


def _of_one_run(one: Record, other: Record) -> bool:
    return one is other or bool({raw.sha256 for raw in one.raw} & {raw.sha256 for raw in other.raw})
