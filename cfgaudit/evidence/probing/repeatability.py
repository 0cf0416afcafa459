"""A probe's repeatability: readings of one place, in mm, held against what the machine is set to."""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum
from typing import NamedTuple

from cfgaudit.evidence.records.record import Result, as_kept
from cfgaudit.evidence.statistics import (
    SpreadInterval,
    Summary,
    Trend,
    far_off,
    spread_interval,
    summarise,
    trend,
)

GOOD = 0.001
"""mm of standard deviation up to which a probe repeats well (common practice, no source)."""
FAIR = 0.005
"""mm up to which first layers come out alike: a fortieth of one of 0.2 mm (common practice, no source)."""
SUSPICIOUS = 0.1
"""mm from which no probe that works spreads so far: the readings may be in another unit (common practice, no
source)."""
MANY = 10
"""Readings from which on a spread is called by a name without a doubt (common practice, no source)."""
GRAIN = 2.0
"""Steps of Z by which any reading may be off without being far off."""
SAME = 1e-9
"""mm by which two lengths differ that are written alike, for 1.86 − 1.85 is not quite 0.01."""


class Grade(StrEnum):
    """What a spread is called. Common practice, no source."""

    GOOD = "good"
    FAIR = "fair"
    COARSE = "coarse"


class Settings(NamedTuple):
    """What a probe is set to. Lengths in mm; None where nothing says it."""

    step: float | None = None
    """One step of Z."""
    tolerance: float | None = None
    """How far touches of one place may lie apart."""
    touches: int | None = None
    """How often one place is touched."""


class Sets(NamedTuple):
    """Readings in a row, as many as the probe touches a place, held against its tolerance."""

    size: int
    runs: int
    """How many such sets there are; they overlap."""
    beyond: int
    """How many of them span more than the tolerance."""


class Repeatability(NamedTuple):
    """What readings of one place say. Lengths in mm."""

    summary: Summary
    spread: float
    """The sample standard deviation."""
    interval: SpreadInterval
    low: float
    high: float
    drift: Trend | None
    far_off: tuple[int, ...]
    """Which readings lie far off, counted from 1."""
    settings: Settings
    sets: Sets | None

    @property
    def range(self) -> float:
        """From the lowest to the highest reading."""
        return self.high - self.low

    @property
    def grade(self) -> Grade:
        """What the spread is called."""
        return _grade(self.spread)

    @property
    def doubtful(self) -> bool:
        """Whether the readings are so few that the true spread may well be a worse one."""
        return bool(self.spread) and self.summary.size < MANY and _grade(self.interval.high) is not self.grade


def _grade(spread: float) -> Grade:
    """Readings in decimals make spreads that are off by a rounding."""
    told = round(spread, 9)
    return Grade.GOOD if told <= GOOD else Grade.FAIR if told <= FAIR else Grade.COARSE


def repeatability(readings: Sequence[float], settings: Settings | None = None) -> Repeatability:
    """Count, mean, spread with its interval, range, drift and outliers.

    Raises ValueError for fewer than two readings.
    """
    if len(readings) < 2:
        raise ValueError("repeatability needs two readings at the least")
    settings = settings or Settings()
    summary = summarise(readings)
    interval = spread_interval(summary)
    assert summary.spread is not None
    assert interval is not None
    odd = far_off(readings, grain=GRAIN * (settings.step or 0.0))
    return Repeatability(
        summary,
        summary.spread,
        interval,
        min(readings),
        max(readings),
        trend(readings),
        tuple(at + 1 for at in odd),
        settings,
        _sets(readings, settings),
    )


def _sets(readings: Sequence[float], settings: Settings) -> Sets | None:
    """Every run of as many readings as the probe touches a place; None where nothing says how many."""
    size, tolerance = settings.touches, settings.tolerance
    if not tolerance or size is None or not 2 <= size <= len(readings):
        return None
    runs = [readings[start : start + size] for start in range(len(readings) - size + 1)]
    return Sets(size, len(runs), sum(1 for run in runs if max(run) - min(run) > tolerance + SAME))


def repeatability_results(found: Repeatability) -> tuple[Result, ...]:
    """What of it is kept. Lengths in mm to the nanometre; the drift is that of one reading."""
    size = found.summary.size
    results = [
        Result("mean", round(found.summary.mean, 6), "mm", size, as_kept(found.spread)),
        Result("standard deviation", as_kept(found.spread), "mm", size),
        Result("range", round(found.range, 6), "mm", size),
    ]
    if size > 2:
        slope = found.drift.slope if found.drift is not None else 0.0
        results.append(Result("drift", as_kept(slope), "mm", size))
    return tuple(results)
