"""Before and after: every measured quantity on both sides, and whether the difference is real."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from enum import StrEnum
from functools import cache
from math import inf, isclose, isfinite, sqrt
from pathlib import Path
from typing import Any, NamedTuple

from cfgaudit.evidence.comparing.sides import Key, Reading, Sides, Span, same_unit, sides_of
from cfgaudit.evidence.comparing.variances import Deviation, Ratio, compare_deviations, pooled_deviation
from cfgaudit.evidence.records.record import Evidence, MeasurementKind, Record, Result
from cfgaudit.evidence.statistics import Difference, Summary, summarise, welch
from cfgaudit.own_toml import read_own_toml
from cfgaudit.tree.names import fold_name

DEVIATION = fold_name("standard deviation")
"""The name of a result that is a spread itself."""


ONE = "one measurement"
CRUMBS = 1e-12
"""The share of a mean that the sum of some floats may be off by."""


class Verdict(StrEnum):
    """What may be said of a quantity."""

    BETTER = "better"
    WORSE = "worse"
    DIFFERENT = "different"
    """Real, but neither side is known to be the better one."""
    NOT_SHOWN = "no difference shown"
    UNTOLD = "no statement"
    UNLIKE = "not compared"
    """The two sides have different units, or go by something else."""
    ONLY_BEFORE = "measured before only"
    ONLY_AFTER = "measured after only"


class Measured(NamedTuple):
    """One side: the sample, and the records that it is made of."""

    summary: Summary
    """Of a standard deviation ``mean`` is the pooled one; ``spread`` is None then."""
    unit: str
    records: tuple[Record, ...]
    """Newest first."""
    deviation: Deviation | None = None
    """Where a standard deviation was measured."""


class Quantity(NamedTuple):
    """One quantity of one part before and after."""

    kind: MeasurementKind
    part: str
    name: str
    better: str
    """``higher``, ``lower`` or empty."""
    before: Measured | None
    after: Measured | None
    test: Difference | Ratio | None
    """The difference of two means, or the ratio of two deviations; None where nothing can be said."""
    verdict: Verdict
    why: str = ""
    """Why there is no statement, as one clause."""

    @property
    def unit(self) -> str:
        """That of the newer side."""
        side = self.after or self.before
        return side.unit if side is not None else ""

    @property
    def change(self) -> float | None:
        """After − before, in the unit."""
        if self.before is None or self.after is None or self.verdict is Verdict.UNLIKE:
            return None
        change = self.after.summary.mean - self.before.summary.mean
        return change if isfinite(change) else None

    @property
    def is_single(self) -> bool:
        """Whether nothing can be said because a side was measured once."""
        return self.verdict is Verdict.UNTOLD and self.why.startswith(ONE)

    @property
    def relative(self) -> float | None:
        """The change as a share of the value before; None where that says nothing: signs differ, or zero is a
        matter of choice."""
        if self.before is None or self.after is None or self.change is None or has_free_zero(self):
            return None
        old, new = self.before.summary.mean, self.after.summary.mean
        share = self.change / abs(old) if old and (old > 0) == (new > 0) else inf
        return share if isfinite(share) else None


def compare_evidence(evidence: Evidence, span: Span) -> tuple[Quantity, ...]:
    """Every quantity that was measured up to the end of the span; which records count: `sides.sides_of`."""
    every = (_quantity(key, sides) for key, sides in sides_of(evidence, span).items())
    return tuple(one for one in every if one.name not in _table("besides").get(one.kind, ()))


def pooled(results: Sequence[Result]) -> Summary:
    """The sample that several results make.

    Where each is one value, or the mean of samples with their spread, it is all those samples together:
    Σ(n − 1)s² + Σ n(x̄ − mean)² is the sum of squares of all values (the analysis of variance's identity).
    Else each result is one value, whatever it was computed from. Raises OverflowError where
    they are too large.
    """
    unspread = any(one.samples > 1 and one.spread is None for one in results)
    if unspread or all(one.samples == 1 for one in results):
        return summarise([one.value for one in results])
    size = sum(one.samples for one in results)
    mean = sum(one.samples * one.value for one in results) / size
    within = sum((one.samples - 1) * (one.spread or 0.0) ** 2 for one in results)
    between = sum(one.samples * (one.value - mean) ** 2 for one in results)
    if between <= size * (CRUMBS * mean) ** 2:  # equal values; their mean is only rounded
        between = 0.0
    spread = sqrt((within + between) / (size - 1))
    if not (isfinite(mean) and isfinite(spread)):
        raise OverflowError
    return Summary(size, mean, spread)


def counts(quantities: Iterable[Quantity]) -> Mapping[Verdict, int]:
    """How many quantities got each verdict; those that none got are left out."""
    found = [one.verdict for one in quantities]
    return {verdict: found.count(verdict) for verdict in Verdict if verdict in found}


def shown_in_per_cent(quantity: Quantity) -> bool:
    """Whether people think of it in per cent: a share that is recorded as a number up to 1."""
    return quantity.unit in ("", "1") and quantity.name in _table("per-cent").get(quantity.kind, ())


def has_free_zero(quantity: Quantity) -> bool:
    """Whether zero is a matter of choice, so that a ratio says nothing."""
    return quantity.unit in ("°C", "C") or quantity.name in _table("free-zero").get(quantity.kind, ())


def _quantity(key: Key, sides: Sides) -> Quantity:
    record, result = (sides.after or sides.before)[0]
    better = result.better or str(_table("better").get(record.kind, {}).get(result.name, ""))
    blank = Quantity(record.kind, record.part, result.name, better, None, None, None, Verdict.UNTOLD)
    try:
        before, after = (_measured(key, side) for side in sides)
        return _judged(blank._replace(before=before, after=after))
    except OverflowError:
        before, after = (_newest(side) for side in sides)
        return blank._replace(before=before, after=after, why="numbers out of all proportion")


def _newest(readings: Sequence[Reading]) -> Measured | None:
    """The newest reading alone."""
    if not readings:
        return None
    record, result = readings[0]
    return Measured(Summary(1, result.value, None), result.unit, (record,))


def _measured(key: Key, readings: Sequence[Reading]) -> Measured | None:
    if not readings:
        return None
    results = [one.result for one in readings]
    records = tuple(one.record for one in readings)
    unit = results[0].unit
    deviation = pooled_deviation(results) if key[2] == DEVIATION else None
    if deviation is None:
        return Measured(pooled(results), unit, records)
    if not isfinite(deviation.value):
        raise OverflowError
    size = sum(one.samples for one in results)
    return Measured(Summary(size, deviation.value, None), unit, records, deviation)


def _judged(one: Quantity) -> Quantity:
    """The quantity with its test and verdict."""
    before, after = one.before, one.after
    if before is None or after is None:
        return one._replace(verdict=Verdict.ONLY_AFTER if before is None else Verdict.ONLY_BEFORE)
    if not same_unit(before.unit, after.unit):
        why = f"in {before.unit or '1'} before, in {after.unit or '1'} after"
        return one._replace(verdict=Verdict.UNLIKE, why=why)
    if why := _other_grounds(one):
        return one._replace(verdict=Verdict.UNLIKE, why=why)
    test = _test(before, after)
    if test is not None and not all(map(isfinite, test)):
        raise OverflowError
    if test is None:
        return _untested(one, before, after)
    return one._replace(test=test, verdict=_verdict(test, one))


def _other_grounds(one: Quantity) -> str:
    """What else the records state that a quantity goes by, where it is not the same on both sides."""
    if one.before is None or one.after is None:
        return ""
    for ground in _table("goes-by").get(one.kind, {}).get(one.name, ()):
        old, new = (_stated(side.records, ground["results"]) for side in (one.before, one.after))
        amounts = [result.value for result in (*old, *new)]
        if old and new and max(amounts) - min(amounts) > ground["within"]:
            return f"{new[0].name} {_ground_text(old)} before, {_ground_text(new)} after"
    return ""


def _stated(records: Iterable[Record], names: Sequence[str]) -> list[Result]:
    """The first of these results that each record has."""
    found = (next(filter(None, map(record.result, names)), None) for record in records)
    return [result for result in found if result is not None]


def _ground_text(results: Sequence[Result]) -> str:
    unit = results[0].unit
    return f"{results[0].value:.4g} {'' if unit == '1' else unit}".rstrip()


def _test(before: Measured, after: Measured) -> Difference | Ratio | None:
    if before.deviation is not None and after.deviation is not None:
        return compare_deviations(before.deviation, after.deviation)
    return welch(before.summary, after.summary)


def _untested(one: Quantity, before: Measured, after: Measured) -> Quantity:
    """Without a spread only what stayed exactly as it was can be told."""
    decided = one.name in _table("from-settings").get(one.kind, ())
    repeated = min(before.summary.size, after.summary.size) > 1
    same = isclose(before.summary.mean, after.summary.mean, rel_tol=CRUMBS)
    if same and (decided or repeated):
        return one._replace(verdict=Verdict.NOT_SHOWN)
    return one._replace(why="the settings alone decide it" if decided else _why_untold(before, after))


def _why_untold(before: Measured, after: Measured) -> str:
    if before.deviation is not None and after.deviation is not None:
        return "no spread at all on one side"
    single = [one.summary.size == 1 or one.deviation is not None for one in (before, after)]
    if all(single):
        return f"{ONE} each"
    if any(single):
        return f"{ONE} {'before' if single[0] else 'after'}"
    return "the repetitions do not spread at all"


def _verdict(test: Difference | Ratio, one: Quantity) -> Verdict:
    if not test.real:
        return Verdict.NOT_SHOWN
    if not one.better:
        return Verdict.DIFFERENT
    grew = test.value > (1.0 if isinstance(test, Ratio) else 0.0)
    return Verdict.BETTER if grew == (one.better == "higher") else Verdict.WORSE


@cache
def _table(name: str) -> Mapping[str, Any]:
    table: Mapping[str, Any] = read_own_toml(Path(__file__).with_name("better.toml"))[name]
    return table
