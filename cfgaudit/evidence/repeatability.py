"""A probe's repeatability: readings of one place, in mm."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from cfgaudit.evidence.columns import MeasurementError
from cfgaudit.evidence.statistics import (
    SpreadInterval,
    Summary,
    Trend,
    outliers,
    spread_interval,
    summarise,
    trend,
)

NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?")
FARTHEST = 1000.0
"""mm. No reading of a bed is farther off."""


class Repeatability(NamedTuple):
    """What readings of one place say. Lengths in mm."""

    summary: Summary
    interval: SpreadInterval | None
    low: float
    high: float
    drift: Trend | None
    far_off: tuple[int, ...]
    """Which readings lie far off, counted from 1."""

    @property
    def range(self) -> float:
        return self.high - self.low


def repeatability(readings: Sequence[float]) -> Repeatability:
    """Count, mean, spread with its interval, range, drift and outliers. Raises ValueError for fewer than two."""
    if len(readings) < 2:
        raise ValueError("repeatability needs two readings at the least")
    summary = summarise(readings)
    far_off = tuple(at + 1 for at in outliers(readings))
    return Repeatability(
        summary, spread_interval(summary), min(readings), max(readings), trend(readings), far_off
    )


def read_readings(name: str, lines: Iterable[str], column: str | None = None) -> list[float]:
    """One reading a line, or one column of a CSV, chosen by its header or number. Raises MeasurementError.

    Without a column there must be one number a line; empty lines and what follows ``#`` are left out.
    """
    readings: list[float] = []
    wanted: int | None = None
    for number, text in enumerate(lines, 1):
        cells = [
            cell.strip().strip('"')
            for cell in re.split(r"[,;\t]", text.partition("#")[0].strip("\ufeff \r\n"))
        ]
        if cells == [""]:
            continue
        if wanted is None:
            wanted, is_header = _column(name, number, cells, column)
            if is_header:
                continue
        readings.append(_reading(name, number, cells, wanted))
    if len(readings) < 2:
        raise MeasurementError(f"{name} holds {len(readings)} readings: probe the same place several times")
    return readings


def _column(name: str, line: int, cells: Sequence[str], column: str | None) -> tuple[int, bool]:
    """Which cell holds the readings, and whether this line is the header."""
    header = not all(NUMBER.fullmatch(cell) for cell in cells)
    if column is not None and column in cells and header:
        return cells.index(column), True
    if column is not None and column.isdecimal() and 1 <= int(column) <= len(cells):
        return int(column) - 1, header
    if column is not None:
        raise MeasurementError(f'{name}:{line}: no column "{column}" among {", ".join(cells)[:60]}')
    if len(cells) > 1:
        raise MeasurementError(
            f"{name}:{line}: {len(cells)} columns: say with --column which one holds the readings"
        )
    return 0, header


def _reading(name: str, line: int, cells: Sequence[str], wanted: int) -> float:
    text = cells[wanted] if wanted < len(cells) else ""
    if not NUMBER.fullmatch(text):
        raise MeasurementError(
            f'{name}:{line}: "{text[:30]}" is no number: one reading in mm a line, with a point'
        )
    if abs(value := float(text)) > FARTHEST:
        raise MeasurementError(f"{name}:{line}: {text} mm is no reading of a bed: give the readings in mm")
    return value
