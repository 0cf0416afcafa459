"""A probe's readings as text, one a line or in one column of a CSV, to numbers in mm."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from cfgaudit.evidence.recordings.columns import MeasurementError
from cfgaudit.evidence.recordings.stated_units import bracketed_unit, last_word
from cfgaudit.evidence.recordings.table_layout import MARKS, WIDE_TEXT

NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?", re.ASCII)
DECIMAL_COMMA = re.compile(r"[+-]?\d+,\d+", re.ASCII)
UNITS = {
    **dict.fromkeys(("mm", "millimetre", "millimetres", "millimeter", "millimeters"), 1.0),
    **dict.fromkeys(("µm", "μm", "um", "micrometre", "micrometres", "micrometer", "micrometers"), 1e-3),
    **dict.fromkeys(("micron", "microns"), 1e-3),
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), 1e3),
}
"""Factors to mm."""
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
    unit: float = 1.0
    """To mm."""


def read_readings(name: str, data: bytes, column: str | None = None) -> list[float]:
    """The readings in mm of a file or stream called ``name``; ``column`` is a header's name or a number.

    Without a column there must be one number a line; empty lines and what follows ``#`` are left out. Where
    semicolons or tabs part the columns, decimals may have commas; a header may state mm, µm or m. Raises
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
    mark = ""
    for number, text in enumerate(lines, 1):
        if text := text.partition("#")[0].strip():
            mark = mark or next((one for one in MARKS if one in text), "")
            cells = [cell.strip().strip('"') for cell in (text.split(mark) if mark else [text])]
            yield number, text, cells if mark in ("", ",") else list(map(_pointed, cells))


def _pointed(cell: str) -> str:
    """A number with a point, where no comma can part columns."""
    return cell.replace(",", ".") if DECIMAL_COMMA.fullmatch(cell) else cell


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
    return is_header, Rows(at, len(cells), _unit(where, cells[at]) if is_header else 1.0)


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


def _unit(where: str, header: str) -> float:
    """The factor to mm that a header states; 1 where it states none. Raises MeasurementError."""
    if unit := bracketed_unit(header):
        if unit.casefold() not in UNITS:
            raise MeasurementError(f"{where}: the readings are in {unit[:SHOWN]}: give them in mm or µm")
        return UNITS[unit.casefold()]
    return UNITS.get(last_word(header), 1.0)


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
    if abs(value := float(text) * rows.unit) > FARTHEST:
        told = f"{text[:SHOWN]} mm" if rows.unit == 1.0 else f"{text[:SHOWN]}, {value:.4g} mm,"
        raise MeasurementError(f"{where}: {told} is no reading of a bed: give the readings in mm")
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
