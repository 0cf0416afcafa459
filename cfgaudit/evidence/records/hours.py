"""Hours of wear: what each part has run since it was replaced."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import NamedTuple

from cfgaudit.evidence.records.record import HOURS, Evidence, MeasurementKind, Record
from cfgaudit.tree.names import fold_name


class PartHours(NamedTuple):
    """How long a part has run, as of its last record."""

    part: str
    """As the builder calls it, in the newest record."""
    hours: float
    """0 where the record says that it was replaced."""
    since: datetime | None
    """When it was replaced last; None where no record says so."""
    record: Record


def hours_of(evidence: Evidence, part: str, at: datetime | None = None) -> PartHours | None:
    """How long a part had run at a moment, now where none is given; None where no record says so."""
    wanted = fold_name(part)
    for one in all_hours(evidence, at):
        if fold_name(one.part) == wanted:
            return one
    return None


def all_hours(evidence: Evidence, at: datetime | None = None) -> tuple[PartHours, ...]:
    """How long every part had run at a moment (now where none is given), by name."""
    by_part: dict[str, list[Record]] = {}
    for record in evidence.of(MeasurementKind.HOURS):  # newest first
        if at is None or record.date <= at:
            by_part.setdefault(fold_name(record.part), []).append(record)
    found = (_hours(records) for records in by_part.values())
    return tuple(sorted(found, key=lambda one: fold_name(one.part)))


def limit_of(part: str, limits: Mapping[str, float]) -> float | None:
    """The builder's limit for a part, however its name is spelled."""
    return next((limit for name, limit in limits.items() if fold_name(name) == fold_name(part)), None)


def hours_text(hours: float) -> str:
    """``312.5 h``: to the blink of an eye, so that what is beyond a limit also looks so."""
    return f"{hours:.6f}".rstrip("0").rstrip(".") + " h"


def _hours(records: Iterable[Record]) -> PartHours:
    newest, *_ = records = list(records)
    result = newest.result(HOURS)
    run = 0.0 if newest.replaced or result is None else result.value
    since = next((one.date for one in records if one.replaced), None)
    return PartHours(newest.part, run, since, newest)
