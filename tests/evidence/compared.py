"""Evidence written down for a test of what is compared."""

from __future__ import annotations

from datetime import UTC, datetime

from cfgaudit.evidence.comparing.comparison import compare_evidence
from cfgaudit.evidence.comparing.quantity import Quantity
from cfgaudit.evidence.comparing.sides import Span
from cfgaudit.evidence.records.record import Evidence, MeasurementKind, RawFile, Record, Result

OLD, NEW = "0" * 64, "1" * 64
"""The digests of the settings before and after."""
SPAN = Span(datetime(2026, 10, 1, tzinfo=UTC), datetime(2026, 11, 1, tzinfo=UTC), OLD)


def record(
    day: str,
    *results: Result,
    digest: str = "",
    kind: MeasurementKind = MeasurementKind.VALUE,
    part: str = "run",
    raw: str = "",
    affects: tuple[str, ...] = (),
) -> Record:
    """A record of a day (``09-30``); ``raw`` is the digest of the file that it was computed from."""
    date = datetime.fromisoformat(f"2026-{day}T12:00:00+00:00")
    digest = digest or (OLD if date <= SPAN.before else NEW)
    files = (RawFile("run.csv", raw),) if raw else ()
    return Record(f"evidence/{day}.toml", kind, date, part, None, digest, results, (), files, affects=affects)


def compared(*records: Record, span: Span = SPAN) -> dict[str, Quantity]:
    """Every quantity by its name."""
    newest_first = tuple(sorted(records, key=lambda one: one.date, reverse=True))
    return {one.name: one for one in compare_evidence(Evidence(newest_first), span)}


def sampled(
    before: list[float], after: list[float], name: str = "time", better: str = "", unit: str = "min"
) -> Quantity:
    """A quantity that was measured so often on each side, one record a value."""
    days = [(f"09-{day:02}", value) for day, value in enumerate(before, 1)]
    days += [(f"10-{day:02}", value) for day, value in enumerate(after, 2)]
    return compared(*(record(day, Result(name, value, unit, better=better)) for day, value in days))[name]
