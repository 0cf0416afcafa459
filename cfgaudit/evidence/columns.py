"""Tables of numbers as instruments write them: a CSV file to named columns.

The mark between columns is found (comma, semicolon, tab, or spaces), a header is recognised, lines that begin
with ``#`` are left out. Whatever cannot be used is refused with the file and the line.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    import numpy

ROWS_AT_MOST = 5_000_000
BYTES_AT_MOST = 400 * 1024 * 1024
MARKS = (";", "\t", ",")
NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?|[+-]?nan|[+-]?inf", re.IGNORECASE)
SOUGHT = 64 * 1024
"""Bytes at the beginning in which the header and the first row must stand."""


class MeasurementError(Exception):
    """A measurement that cannot be used: one line that names the file, the line and what to do."""


class Columns(NamedTuple):
    """All rows: ``values`` has one row of numbers a line, one column for each of ``names``."""

    names: tuple[str, ...]
    """As the header gives them; ``column 1`` … where there is none."""
    values: numpy.ndarray
    first_line: int
    """Of the first row of numbers, in the file."""


class Layout(NamedTuple):
    """How the file is written: what parts its columns, its header, and where its numbers begin."""

    mark: str | None
    """None for spaces."""
    header: tuple[str, ...]
    first_line: int


def read_columns(path: Path) -> Columns:
    """The columns of a file. Raises MeasurementError."""
    size = _size(path)
    layout = _layout(path)
    values = _numbers(path, layout, size)
    width = values.shape[1]
    names = layout.header or tuple(f"column {number}" for number in range(1, width + 1))
    if len(names) != width:
        raise MeasurementError(
            f"{path}:{layout.first_line}: the header names {len(names)} columns, the rows have {width}: "
            "mend the header"
        )
    _refuse_gaps(path, layout, values)
    return Columns(names, values, layout.first_line)


def _size(path: Path) -> int:
    try:
        if not path.is_file():
            raise MeasurementError(f"{path} is no file: name the file that the instrument wrote")
        size = path.stat().st_size
    except OSError as error:
        raise MeasurementError(f"{path} cannot be read ({error.strerror}): check the name") from error
    if not size:
        raise MeasurementError(f"{path} is empty: measure again")
    if size > BYTES_AT_MOST:
        raise MeasurementError(
            f"{path} is larger than {BYTES_AT_MOST >> 20} MiB: cut out the minutes that matter"
        )
    return size


def _layout(path: Path) -> Layout:
    """What the first lines say of the rest."""
    try:
        with open(path, "rb") as file:
            start = file.read(SOUGHT)
    except OSError as error:
        raise MeasurementError(f"{path} cannot be read ({error.strerror}): check its permissions") from error
    if b"\0" in start:
        raise MeasurementError(f"{path} is no text: save the measurement as CSV")
    header: tuple[str, ...] = ()
    for number, line in enumerate(start.decode("utf-8-sig", "replace").splitlines(), 1):
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        mark = next((one for one in MARKS if one in line), None)
        cells = tuple(cell.strip().strip('"') for cell in line.split(mark))
        if all(NUMBER.fullmatch(cell) for cell in cells):
            return Layout(mark, header, number)
        if header:
            raise MeasurementError(
                f'{path}:{number}: "{_odd(cells)}" is no number: below the header every cell must be one, with a '
                "point for the decimals"
            )
        header = cells
    raise MeasurementError(f"{path} holds no row of numbers: name the file that the instrument wrote")


def _odd(cells: tuple[str, ...]) -> str:
    return next((cell for cell in cells if not NUMBER.fullmatch(cell)), "")[:30]


def _numbers(path: Path, layout: Layout, size: int) -> numpy.ndarray:
    import warnings

    import numpy

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            values = numpy.loadtxt(
                path,
                delimiter=layout.mark,
                comments="#",
                skiprows=layout.first_line - 1,
                ndmin=2,
                max_rows=ROWS_AT_MOST + 1,
                encoding="utf-8-sig" if layout.first_line == 1 else "utf-8",
            )
    except (ValueError, UnicodeDecodeError) as error:
        raise MeasurementError(_told(path, layout, str(error))) from None
    if len(values) > ROWS_AT_MOST:
        raise MeasurementError(
            f"{path} has more than {ROWS_AT_MOST:,} rows: cut out the minutes that matter, or sample less often"
        )
    return values


def _told(path: Path, layout: Layout, said: str) -> str:
    """numpy's account of a bad line as one of ours: it counts rows, people count lines."""
    for number, line in _lines(path, layout.first_line):
        cells = [cell.strip() for cell in line.split(layout.mark)]
        if bad := next((cell for cell in cells if not NUMBER.fullmatch(cell)), None):
            return f'{path}:{number}: "{bad[:30]}" is no number: every cell must be one, with a point for the decimals'
        if number == layout.first_line:
            width = len(cells)
        elif len(cells) != width:
            return f"{path}:{number}: {len(cells)} cells, {width} in the rows above: the file seems cut off, or joined"
    return f"{path} cannot be read as rows of numbers: {said.splitlines()[0]}"


def _lines(path: Path, first: int) -> Iterator[tuple[int, str]]:
    with open(path, encoding="utf-8-sig", errors="replace") as file:
        for number, line in enumerate(file, 1):
            if number >= first and (text := line.partition("#")[0].strip()):
                yield number, text


def _refuse_gaps(path: Path, layout: Layout, values: numpy.ndarray) -> None:
    import numpy

    bad = ~numpy.isfinite(values).all(axis=1)
    if bad.any():
        row = int(bad.argmax())
        number = next(
            (number for at, (number, _) in enumerate(_lines(path, layout.first_line)) if at == row), 0
        )
        raise MeasurementError(
            f"{path}:{number}: a cell is no finite number: take out such rows, or measure again"
        )
