"""Whether a quantity's two sides differ, and for the better or the worse."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import isclose, isfinite

from cfgaudit.evidence.comparing.quantity import EQUAL, ONE, Measured, Quantity, Verdict, table
from cfgaudit.evidence.comparing.sides import same_unit
from cfgaudit.evidence.comparing.variances import Ratio, compare_deviations
from cfgaudit.evidence.records.record import Record, Result
from cfgaudit.evidence.statistics import Difference, welch

CRUMBS = 1e-12
"""The share of a mean that the sum of some floats may be off by."""


def judged(one: Quantity) -> Quantity:
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
    for ground in table("goes-by").get(one.kind, {}).get(one.name, ()):
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
    repeated = min(before.summary.size, after.summary.size) > 1
    same = isclose(before.summary.mean, after.summary.mean, rel_tol=CRUMBS)
    if same and repeated:
        return one._replace(verdict=Verdict.NOT_SHOWN)
    return one._replace(why=_why_untold(before, after))


def _why_untold(before: Measured, after: Measured) -> str:
    if before.deviation is not None and after.deviation is not None:
        return "no spread at all on one side"
    single = [one.summary.size == 1 or one.deviation is not None for one in (before, after)]
    if all(single):
        return f"{ONE} each"
    if any(single):
        return f"{ONE} {'before' if single[0] else 'after'}"
    return EQUAL


def _verdict(test: Difference | Ratio, one: Quantity) -> Verdict:
    if not test.real:
        return Verdict.NOT_SHOWN
    if one.nearest is not None:
        return _nearer(one)
    if not one.better:
        return Verdict.DIFFERENT
    grew = test.value > (1.0 if isinstance(test, Ratio) else 0.0)
    return Verdict.BETTER if grew == (one.better == "higher") else Verdict.WORSE


def _nearer(one: Quantity) -> Verdict:
    """Whether the distance from the best number, by logarithms, differs by Welch's test as well."""
    before, after = (side.distance if side is not None else None for side in (one.before, one.after))
    moved = welch(before, after) if before is not None and after is not None else None
    if moved is None or not moved.real:
        return Verdict.DIFFERENT
    return Verdict.BETTER if moved.value < 0 else Verdict.WORSE
