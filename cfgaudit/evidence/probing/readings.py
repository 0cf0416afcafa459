"""A probe's readings as text, one a line or in one column of a CSV, to numbers in mm."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from cfgaudit.evidence.recordings.columns import MeasurementError
from cfgaudit.evidence.recordings.table_layout import WIDE_TEXT

NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?", re.ASCII)
DECIMAL_COMMA = re.compile(r"[+-]?\d+,\d+", re.ASCII)
UNIT = re.compile(r"[(\[]\s*([^)\]]+?)\s*[)\]]")
FARTHEST = 1000.0
"""mm. No reading of a bed is farther off."""
WIDEST = 0.5
"""mm. No probe that works reads one place so differently (common practice, no source)."""
READINGS_AT_MOST = 100_000
BYTES_AT_MOST = 16 * 1024 * 1024
SHOWN = 30
"""Letters of a bad cell that an error repeats."""


class Rows(NamedTuple):
    """Where the readings stand in a row."""

    column: int
    width: int
    """How many cells the first row has."""


def read_readings(name: str, data: bytes, column: str | None = None) -> list[float]:
    """The readings in mm of a file or stream called ``name``; ``column`` is a header's name or a number.

    Without a column there must be one number a line; empty lines and what follows ``#`` are left out. Raises
    MeasurementError, which names the line.
    """
    readings: list[float] = []
    rows: Rows | None = None
    for number, text, cells in _cells(_lines(name, data)):
        if rows is None:
            _refuse_decimal_comma(f"{name}:{number}", text, column)
            is_header, rows = _first(f"{name}:{number}", cells, column)
            if is_header:
                continue
        readings.append(_reading(f"{name}:{number}", cells, rows))
        if len(readings) > READINGS_AT_MOST:
            raise MeasurementError(
                f"{name} holds more than {READINGS_AT_MOST} readings: some hundred are enough"
            )
    _refuse_few(name, readings)
    return readings


def _lines(name: str, data: bytes) -> list[str]:
    if not data.strip():
        raise MeasurementError(f"{name} is empty: give one reading in mm a line")
    if len(data) > BYTES_AT_MOST:
        raise MeasurementError(
            f"{name} is larger than {BYTES_AT_MOST >> 20} MiB: some hundred readings are enough"
        )
    if data.startswith(WIDE_TEXT):
        raise MeasurementError(f"{name} is written in UTF-16: save it as UTF-8")
    if b"\0" in data:
        raise MeasurementError(f"{name} is no text: give one reading in mm a line")
    return data.decode("utf-8-sig", "replace").replace("\r\n", "\n").replace("\r", "\n").split("\n")


def _cells(lines: Iterable[str]) -> Iterator[tuple[int, str, list[str]]]:
    """Every line that has any cells, with its number and without a remark, and these cells."""
    for number, text in enumerate(lines, 1):
        if text := text.partition("#")[0].strip():
            yield number, text, [cell.strip().strip('"') for cell in re.split(r"[,;\t]", text)]


def _refuse_decimal_comma(where: str, text: str, column: str | None) -> None:
    if column is None and DECIMAL_COMMA.fullmatch(text):
        raise MeasurementError(
            f'{where}: "{text[:SHOWN]}" looks like a decimal comma: write decimals with a point (or, if that '
            "is two columns, say with --column which one holds the readings)"
        )


def _first(where: str, cells: Sequence[str], column: str | None) -> tuple[bool, Rows]:
    """Whether the first row is a header, and which cell of a row holds the reading."""
    is_header = not any(NUMBER.fullmatch(cell) for cell in cells) and any(map(_is_word, cells))
    if column is None and len(cells) > 1:
        raise MeasurementError(
            f"{where}: {len(cells)} columns: say with --column which one holds the readings (and write "
            "decimals with a point)"
        )
    at = 0 if column is None else _column(where, cells, column, is_header)
    if is_header:
        _refuse_unit(where, cells[at])
    return is_header, Rows(at, len(cells))


def _is_word(cell: str) -> bool:
    """Whether a cell may be a column's name: ``nan`` and ``inf`` are numbers gone wrong."""
    return cell[:1].isalpha() and cell.casefold().lstrip("+-") not in ("nan", "inf", "infinity")


def _column(where: str, cells: Sequence[str], column: str, is_header: bool) -> int:
    names = [cell.casefold() for cell in cells] if is_header else []
    if (wanted := column.strip().casefold()) in names:
        return names.index(wanted)
    if wanted.isascii() and wanted.isdecimal() and len(wanted) < 6 and 1 <= int(wanted) <= len(cells):
        return int(wanted) - 1
    there = ", ".join(cells)[:60] if is_header else f"1 to {len(cells)}"
    raise MeasurementError(f'{where}: no column "{column[:SHOWN]}": name one of {there}')


def _refuse_unit(where: str, header: str) -> None:
    found = UNIT.search(header)
    if found and found[1].casefold() != "mm":
        raise MeasurementError(f"{where}: the readings are in {found[1][:SHOWN]}: give them in mm")


def _reading(where: str, cells: Sequence[str], rows: Rows) -> float:
    if len(cells) != rows.width:
        raise MeasurementError(
            f"{where}: {len(cells)} cell{'s' if len(cells) > 1 else ''}, {rows.width} in the first row: the "
            "file seems cut off, or has decimal commas"
        )
    text = cells[rows.column]
    if not NUMBER.fullmatch(text):
        raise MeasurementError(
            f'{where}: "{text[:SHOWN]}" is no number: give one reading in mm, with a point'
        )
    if abs(value := float(text)) > FARTHEST:
        raise MeasurementError(f"{where}: {text[:SHOWN]} mm is no reading of a bed: give the readings in mm")
    return value


def _refuse_few(name: str, readings: Sequence[float]) -> None:
    if len(readings) < 2:
        told = "one reading" if readings else "no reading"
        raise MeasurementError(f"{name} holds {told}: probe the same place several times, ten times or more")
    if (spread := max(readings) - min(readings)) > WIDEST:
        raise MeasurementError(
            f"{name}: the readings lie {spread:.4g} mm apart, and no probe reads one place so differently: "
            "give readings of one place, in mm"
        )
