"""One quantity before and after, and what is known of such quantities: ``better.toml``."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from enum import StrEnum
from functools import cache
from math import inf, isfinite
from pathlib import Path
from typing import Any, NamedTuple

from cfgaudit.evidence.comparing.variances import Deviation, Ratio
from cfgaudit.evidence.records.quantities import NO_UNIT, known_quantity
from cfgaudit.evidence.records.record import MeasurementKind, Record
from cfgaudit.evidence.statistics import Difference, Summary
from cfgaudit.own_toml import read_own_toml

ONE = "one measurement"
EQUAL = "all repetitions are equal"
"""Why nothing is said of what was measured several times."""


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
    distance: Summary | None = None
    """From the best number, by logarithms; where there is a best one."""


class Quantity(NamedTuple):
    """One quantity of one part before and after."""

    kind: MeasurementKind
    part: str
    name: str
    better: str
    """``higher``, ``lower`` or empty; empty where a number in between is best."""
    before: Measured | None
    after: Measured | None
    test: Difference | Ratio | None
    """The difference of two means, or the ratio of two deviations; None where nothing can be said."""
    verdict: Verdict
    why: str = ""
    """Why there is no statement, as one clause."""
    nearest: float | None = None
    """The number that is best, the nearer the better; None where there is none."""

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


def counts(quantities: Iterable[Quantity]) -> Mapping[Verdict, int]:
    """How many quantities got each verdict; those that none got are left out."""
    found = [one.verdict for one in quantities]
    return {verdict: found.count(verdict) for verdict in Verdict if verdict in found}


def shown_in_per_cent(quantity: Quantity) -> bool:
    """Whether people think of it in per cent: a share that is recorded as a number up to 1."""
    known = known_quantity(quantity.kind, quantity.name)
    return known is not None and known.per_cent and quantity.unit in ("", NO_UNIT)


def has_free_zero(quantity: Quantity) -> bool:
    """Whether zero is a matter of choice, so that a ratio says nothing."""
    return quantity.unit in ("°C", "C") or quantity.name in table("free-zero").get(quantity.kind, ())


@cache
def table(name: str) -> Mapping[str, Any]:
    """One table of ``better.toml``."""
    found: Mapping[str, Any] = read_own_toml(Path(__file__).with_name("better.toml"))[name]
    return found
