"""Before and after: every measured quantity on both sides, and whether the difference is real."""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite, log, sqrt

from cfgaudit.evidence.comparing.quantity import Measured, Quantity, Verdict, table
from cfgaudit.evidence.comparing.sides import Key, Reading, Sides, Span, sides_of
from cfgaudit.evidence.comparing.variances import pooled_deviation
from cfgaudit.evidence.comparing.verdicts import CRUMBS, judged
from cfgaudit.evidence.records.record import Evidence, Record, Result
from cfgaudit.evidence.statistics import Summary, summarise
from cfgaudit.tree.names import fold_name

DEVIATION = fold_name("standard deviation")
"""The name of a result that is a spread itself."""


def compare_evidence(evidence: Evidence, span: Span) -> tuple[Quantity, ...]:
    """Every quantity that was measured up to the end of the span; which records count: `sides.sides_of`."""
    every = (_quantity(key, sides) for key, sides in sides_of(evidence, span).items())
    return tuple(one for one in every if one.name not in table("besides").get(one.kind, ()))


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


def _quantity(key: Key, sides: Sides) -> Quantity:
    record, result = (sides.after or sides.before)[0]
    better, nearest = _better_side(record, result)
    blank = Quantity(
        record.kind, record.part, result.name, better, None, None, None, Verdict.UNTOLD, nearest=nearest
    )
    try:
        before, after = (_measured(key, side, nearest) for side in sides)
        return judged(blank._replace(before=before, after=after))
    except OverflowError:
        before, after = (_newest(side) for side in sides)
        return blank._replace(before=before, after=after, why="numbers out of all proportion")


def _better_side(record: Record, result: Result) -> tuple[str, float | None]:
    """``higher``, ``lower`` or nothing, and the number that is best, where one is. A record's own word counts
    first."""
    known = table("better").get(record.kind, {}).get(result.name, "")
    if result.better or isinstance(known, str):
        return result.better or known, None
    return "", float(known["nearest"])


def _newest(readings: Sequence[Reading]) -> Measured | None:
    """The newest reading alone."""
    if not readings:
        return None
    record, result = readings[0]
    return Measured(Summary(1, result.value, None), result.unit, (record,))


def _measured(key: Key, readings: Sequence[Reading], nearest: float | None) -> Measured | None:
    if not readings:
        return None
    results = [one.result for one in readings]
    records = tuple(one.record for one in readings)
    unit = results[0].unit
    deviation = pooled_deviation(results) if key[2] == DEVIATION else None
    if deviation is None:
        return Measured(pooled(results), unit, records, distance=_distance(results, nearest))
    if not isfinite(deviation.value):
        raise OverflowError
    size = sum(one.samples for one in results)
    return Measured(Summary(size, deviation.value, None), unit, records, deviation)


def _distance(results: Sequence[Result], nearest: float | None) -> Summary | None:
    """How far ratios are from the best one, by their logarithms: 0.8 is as far from 1 as 1.25 is.

    |mean| and spread of ln(value ÷ nearest). Where the mean is near 0 it comes out a little too far, so that
    nothing is called nearer that is not.
    """
    if nearest is None or any(one.samples > 1 or one.value <= 0 for one in results):
        return None
    found = summarise([log(one.value / nearest) for one in results])
    return found._replace(mean=abs(found.mean))
