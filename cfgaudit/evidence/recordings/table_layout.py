"""How a table of numbers is written: what parts its columns, its header, and where its numbers begin."""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

from cfgaudit.evidence.recordings.measurement_error import MeasurementError

MARKS = (";", "\t", ",")
NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?|[+-]?(nan|inf(inity)?)", re.IGNORECASE | re.ASCII)
"""A number as numpy reads it, the ones that are none included."""
SOUGHT = 64 * 1024
"""Bytes at the beginning in which the header and the first row must stand."""
WIDE_TEXT = (b"\xff\xfe", b"\xfe\xff")
"""How a file in UTF-16 begins."""
PACKED = (".gz", ".bz2", ".xz", ".zip")
POINTS = "save the table with points for all decimals, or with commas and semicolons between the columns"
SHOWN = 30
"""Letters of a cell that an error repeats."""


class Layout(NamedTuple):
    """How a file is written."""

    mark: str | None
    """Between columns; None for spaces."""
    header: tuple[str, ...]
    first_line: int
    """Of the numbers."""
    width: int
    """Cells in the first row."""
    quoted: bool
    decimal: str = "."
    """What stands before the decimals: a comma only where another mark parts the columns."""


def find_layout(path: Path) -> Layout:
    """What the first lines say of the rest. Raises MeasurementError."""
    header: tuple[str, ...] = ()
    remark = ""
    lines = _first_lines(path)
    for number, text in enumerate(lines, 1):
        if not (line := text.strip()):
            continue
        if line.startswith("#"):
            remark = line.lstrip("# ")
            continue
        mark, cells, decimal = _first_row(line.partition("#")[0].strip(), lines[number:])
        if all(is_number(cell, decimal) for cell in cells):
            header = header or _remarked(remark, len(cells))
            return Layout(mark, header, number, len(cells), '"' in line, decimal)
        cells = split_row(line)[1]
        if header or _begins_as_row(cells):
            raise MeasurementError(bad_cell(path, number, cells))
        header, remark = cells, ""
    raise MeasurementError(f"{path} holds no row of numbers: name the file that the instrument wrote")


def _first_lines(path: Path) -> list[str]:
    """The lines at the beginning of the file; the last of them may be cut off."""
    try:
        with open(path, "rb") as file:
            start = file.read(SOUGHT)
    except OSError as error:
        raise MeasurementError(f"{path} cannot be read ({error.strerror}): check its permissions") from error
    if start.startswith(WIDE_TEXT):
        raise MeasurementError(f"{path} is written in UTF-16: save it as UTF-8")
    if path.suffix.casefold() in PACKED:
        raise MeasurementError(f"{path} is packed: unpack it first")
    if b"\0" in start:
        raise MeasurementError(f"{path} is no text: save the measurement as CSV")
    lines = _decoded(start).replace("\r\n", "\n").replace("\r", "\n").split("\n")
    return lines if len(start) < SOUGHT else lines[:-1]


def _decoded(start: bytes) -> str:
    """The beginning of a file as text: those that are not in UTF-8 have their ``²`` and ``µ`` in Latin-1."""
    try:
        return start.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        cut_off = error.start > len(start) - 4 and len(start) == SOUGHT
        return start.decode("utf-8-sig", "ignore") if cut_off else start.decode("latin-1")


def is_number(cell: str, decimal: str = ".") -> bool:
    """Whether a cell is a number with this mark, or none, before its decimals."""
    if decimal == ",":
        return "." not in cell and bool(NUMBER.fullmatch(cell.replace(",", ".", 1)))
    return bool(NUMBER.fullmatch(cell))


def _first_row(line: str, others: Sequence[str]) -> tuple[str | None, tuple[str, ...], str]:
    """What may be the first row: what parts its cells, these, and what stands before their decimals.

    A comma does where something else parts the cells: a semicolon, a tab, or spaces between such numbers. If
    this row has whole numbers only, the first of the others with decimals tells.
    """
    mark, cells = split_row(line)
    if mark != "," and not any(one in line for one in ",."):
        with_decimals = next((one for one in others if ("," in one or "." in one) and one[:1] != "#"), "")
        told = split_row(with_decimals.partition("#")[0].strip(), mark)[1]
        return mark, cells, "," if told and all(is_number(cell, ",") for cell in told) else "."
    spaced = tuple(line.split())
    if mark == "," and len(spaced) > 1 and all(is_number(cell, ",") for cell in spaced):
        return None, spaced, ","
    commas = mark != "," and any(map(_has_decimal_comma, cells))
    return mark, cells, "," if commas and all(is_number(cell, ",") for cell in cells) else "."


def split_row(line: str, mark: str | None = "") -> tuple[str | None, tuple[str, ...]]:
    """A line at the mark that it uses (or at the one given), with the cells in between."""
    if mark == "":
        bare = re.sub(r'"[^"]*"', "", line) if '"' in line else line
        mark = next((one for one in MARKS if one in bare), None)
    if '"' not in line:
        return mark, tuple(cell.strip() for cell in line.split(mark))
    cells = next(csv.reader([line[:SOUGHT]], delimiter=mark or " ", skipinitialspace=True))
    return mark, tuple(cell.strip() for cell in cells if mark or cell) or ("",)


def _remarked(remark: str, width: int) -> tuple[str, ...]:
    """A header in a remark right above the numbers, as numpy.savetxt writes it: a name for each column."""
    cells = split_row(remark)[1] if remark else ()
    return cells if len(cells) == width > 1 and not any(map(NUMBER.fullmatch, cells)) else ()


def _begins_as_row(cells: Sequence[str]) -> bool:
    """A header has no numbers; what begins with one is a row with something wrong in it."""
    return bool(NUMBER.fullmatch(cells[0])) or any(_has_decimal_comma(cell) for cell in cells)


def _has_decimal_comma(cell: str) -> bool:
    return "," in cell and bool(NUMBER.fullmatch(cell.replace(",", ".", 1)))


def bad_cell(path: Path, number: int, cells: Sequence[str], decimal: str = ".") -> str:
    """What is wrong with a row in which a cell is no number."""
    bad = next((cell for cell in cells if not is_number(cell, decimal)), "")
    if decimal == "." and _has_decimal_comma(bad):
        return f'{path}:{number}: "{bad[:SHOWN]}" has a decimal comma: {POINTS}'
    if decimal == "," and NUMBER.fullmatch(bad):
        return f'{path}:{number}: "{bad[:SHOWN]}" has a decimal point, others have commas: {POINTS}'
    what = f'"{bad[:SHOWN]}" is no number' if bad else "a cell is empty"
    mark = "point" if decimal == "." else "comma"
    return f"{path}:{number}: {what}: below the header every cell must hold a number, with a decimal {mark}"
