"""Before and after: every measured quantity on both sides, and whether the difference is real."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import datetime
from enum import StrEnum
from functools import cache
from math import sqrt
from pathlib import Path
from typing import Any, NamedTuple

from cfgaudit.evidence.record import Evidence, MeasurementKind, Record, Result
from cfgaudit.evidence.statistics import Difference, Summary, summarise, welch
from cfgaudit.own_toml import read_own_toml
from cfgaudit.tree.names import fold_name

COUNTED = (MeasurementKind.HOURS, MeasurementKind.HARDWARE)
"""Kinds that are no quantities of the machine."""


class Verdict(StrEnum):
    """What may be said of a difference."""

    BETTER = "better"
    WORSE = "worse"
    DIFFERENT = "different"
    """Real, but neither side is known to be the better one."""
    NOT_SHOWN = "no difference shown"
    UNTOLD = "one measurement each: no statement"
    ONLY_BEFORE = "measured before only"
    ONLY_AFTER = "measured after only"


class Measured(NamedTuple):
    """One side: the sample, and the records that it is made of."""

    summary: Summary
    records: tuple[Record, ...]


class Quantity(NamedTuple):
    """One quantity of one part before and after."""

    kind: MeasurementKind
    part: str
    name: str
    unit: str
    better: str
    """``higher``, ``lower`` or empty."""
    before: Measured | None
    after: Measured | None
    difference: Difference | None
    """Where both sides were measured more than once."""
    verdict: Verdict

    @property
    def change(self) -> float | None:
        """After − before, in the unit."""
        if self.before is None or self.after is None:
            return None
        return self.after.summary.mean - self.before.summary.mean

    @property
    def relative(self) -> float | None:
        """The change as a share of the value before; None where that is 0."""
        if self.before is None or self.change is None or not self.before.summary.mean:
            return None
        return self.change / abs(self.before.summary.mean)


Key = tuple[MeasurementKind, str, str, str]
"""Kind, part, name, unit; folded."""


def compare_evidence(evidence: Evidence, before: datetime, after: datetime | None) -> tuple[Quantity, ...]:
    """Every quantity that was measured up to ``before``, or from then up to ``after`` (until now where it is None).

    Of each side the newest measurement counts, and with it those that were taken with the same settings: these
    are its repetitions.
    """
    earlier = _sides(record for record in evidence.records if record.date <= before)
    later = _sides(
        record
        for record in evidence.records
        if before < record.date and (after is None or record.date <= after)
    )
    keys = dict.fromkeys([*sorted(earlier), *sorted(later)])
    return tuple(_quantity(earlier.get(key, ()), later.get(key, ())) for key in sorted(keys))


def _sides(records: Iterable[Record]) -> Mapping[Key, Sequence[tuple[Record, Result]]]:
    """The results of every quantity, newest first, repetitions of the newest only."""
    found: dict[Key, list[tuple[Record, Result]]] = {}
    for record in records:
        for result in record.results if record.kind not in COUNTED else ():
            key = (record.kind, fold_name(record.part), fold_name(result.name), result.unit)
            same = found.setdefault(key, [])
            if not same or same[0][0].digest == record.digest:
                same.append((record, result))
    return found


def _quantity(before: Sequence[tuple[Record, Result]], after: Sequence[tuple[Record, Result]]) -> Quantity:
    record, result = (after or before)[0]
    better = result.better or _better_side(record.kind, result.name)
    left, right = _measured(before), _measured(after)
    difference = welch(left.summary, right.summary) if left and right else None
    return Quantity(
        record.kind,
        record.part,
        result.name,
        result.unit,
        better,
        left,
        right,
        difference,
        _verdict(left, right, difference, better),
    )


def _measured(found: Sequence[tuple[Record, Result]]) -> Measured | None:
    """All of one side as one sample. Records that hold samples themselves are pooled with their spreads."""
    if not found:
        return None
    return Measured(pooled([result for _, result in found]), tuple(record for record, _ in found))


def pooled(results: Sequence[Result]) -> Summary:
    """The sample that several results make: single values, or summaries of samples.

    Σ(n_i − 1)s_i² + Σ n_i(x̄_i − x̄)² is the sum of squares of all values (the analysis of variance's identity).
    """
    if all(one.samples == 1 for one in results):
        return summarise([one.value for one in results])
    size = sum(one.samples for one in results)
    mean = sum(one.samples * one.value for one in results) / size
    within = sum((one.samples - 1) * (one.spread or 0.0) ** 2 for one in results)
    between = sum(one.samples * (one.value - mean) ** 2 for one in results)
    known = all(one.spread is not None or one.samples == 1 for one in results)
    return Summary(size, mean, sqrt((within + between) / (size - 1)) if known and size > 1 else None)


def _verdict(
    before: Measured | None, after: Measured | None, difference: Difference | None, better: str
) -> Verdict:
    if before is None or after is None:
        return Verdict.ONLY_AFTER if before is None else Verdict.ONLY_BEFORE
    if difference is None:
        return Verdict.UNTOLD
    if not difference.real:
        return Verdict.NOT_SHOWN
    if not better:
        return Verdict.DIFFERENT
    return Verdict.BETTER if (difference.value > 0) == (better == "higher") else Verdict.WORSE


@cache
def _better_sides() -> Mapping[str, Any]:
    return read_own_toml(Path(__file__).with_name("better.toml"))


def _better_side(kind: MeasurementKind, name: str) -> str:
    return str(_better_sides().get(kind, {}).get(name, ""))


def verdicts(quantities: Iterable[Quantity]) -> Iterator[tuple[Verdict, int]]:
    """How many quantities got each verdict."""
    found = [one.verdict for one in quantities]
    return ((verdict, found.count(verdict)) for verdict in Verdict if verdict in found)
