"""Tables of numbers as instruments write them: a CSV file to named columns.

The mark between columns is found (semicolon, tab, comma, or spaces), a header is recognised, lines that begin
with ``#`` are left out. Whatever cannot be used is refused with the file and the line.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from cfgaudit.evidence.recordings.measurement_error import MeasurementError as MeasurementError
from cfgaudit.evidence.recordings.table_layout import (
    POINTS,
    SHOWN,
    Layout,
    bad_cell,
    find_layout,
    is_number,
    split_row,
)

if TYPE_CHECKING:
    import numpy

CELLS_AT_MOST = 20_000_000
"""26 minutes of a time and three accelerations, 3,200 a second; 160 MB of memory."""
BYTES_AT_MOST = 400 * 1024 * 1024
LISTED = 80
"""Letters of a list of columns that an error repeats."""


class Columns(NamedTuple):
    """All rows: ``values`` has one row of numbers a line, one column for each of ``names``."""

    names: tuple[str, ...]
    """As the header gives them; ``column 1`` … where there is none."""
    values: numpy.ndarray
    first_line: int
    """Of the first row of numbers, in the file."""
    has_header: bool = True


def read_columns(path: Path) -> Columns:
    """The columns of a file. Raises MeasurementError."""
    size = _size(path)
    layout = find_layout(path)
    _refuse_header(path, layout)
    _refuse_many(path, layout, size)
    values = _numbers(path, layout)
    _refuse_endless(path, layout, values)
    names = layout.header or tuple(f"column {number}" for number in range(1, layout.width + 1))
    return Columns(names, values, layout.first_line, bool(layout.header))


def column_called(path: Path, table: Columns, name: str) -> int:
    """Which column a builder means by a name or a number, counted from 1. Raises MeasurementError."""
    wanted = name.strip()
    for names in (table.names, tuple(one.casefold() for one in table.names)):
        for one in (wanted, wanted.casefold()):
            if one in names:
                return names.index(one)
    if wanted.isascii() and wanted.isdecimal() and len(wanted) < 6 and 1 <= int(wanted) <= len(table.names):
        return int(wanted) - 1
    raise MeasurementError(f'{path} has no column "{wanted[:SHOWN]}": it has {listed(table.names)}')


def listed(names: Sequence[str]) -> str:
    """The names of columns for an error."""
    return ", ".join(names)[:LISTED]


def line_of_row(path: Path, first_line: int, row: int) -> int:
    """The line of the file in which a row of numbers stands; rows are counted from 0."""
    return next((line for at, (line, _) in enumerate(_lines(path, first_line)) if at == row), first_line)


def _size(path: Path) -> int:
    try:
        if path.is_dir():
            raise MeasurementError(f"{path} is a folder: name the file that the instrument wrote")
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


def _refuse_header(path: Path, layout: Layout) -> None:
    """A header must have one name for each column."""
    header, width = layout.header, layout.width
    if header and len(header) != width:
        hint = POINTS if width == 2 * len(header) else "mend the header"
        raise MeasurementError(
            f"{path}:{layout.first_line}: the header names {len(header)} columns, the rows have {width}: "
            f"{hint}"
        )
    folded = [one.casefold() for one in header if one]
    if twice := next((one for one in header if folded.count(one.casefold()) > 1), None):
        raise MeasurementError(f'{path}: two columns are called "{twice[:SHOWN]}": rename one of them')


def _refuse_many(path: Path, layout: Layout, size: int) -> None:
    """More rows than are loaded: told by the ends of lines alone, which takes a fraction of a second."""
    rows = CELLS_AT_MOST // layout.width
    if size <= 2 * layout.width * rows:
        return
    ends = 0
    with open(path, "rb") as file:
        while ends <= rows and (part := file.read(1 << 20)):
            ends += part.count(b"\n")
    if ends > rows:
        raise MeasurementError(
            f"{path} has more than {rows:,} rows of {layout.width}: cut out the minutes that matter, or "
            "sample less often"
        )


def _numbers(path: Path, layout: Layout) -> numpy.ndarray:
    import warnings

    import numpy

    encoding = "utf-8-sig" if layout.first_line == 1 else "latin-1"
    try:
        with warnings.catch_warnings(), open(path, encoding=encoding) as file:
            warnings.simplefilter("ignore")
            return numpy.loadtxt(
                path if layout.decimal == "." else _pointed(file),
                delimiter=layout.mark,
                comments="#",
                skiprows=layout.first_line - 1,
                ndmin=2,
                quotechar='"' if layout.quoted else None,
                encoding=encoding,
            )
    except (ValueError, OSError) as error:
        raise MeasurementError(_told(path, layout, str(error))) from None


def _pointed(lines: Iterable[str]) -> Iterator[str]:
    """Lines with decimal commas as numpy reads them; what has points already is refused there."""
    for line in lines:
        yield line.replace(".", "?").replace(",", ".")


def _told(path: Path, layout: Layout, said: str) -> str:
    """numpy's account of a bad line as one of ours: it counts rows, people count lines."""
    for number, line in _lines(path, layout.first_line):
        cells = split_row(line, layout.mark)[1]
        if len(cells) != layout.width:
            has = "1 cell" if len(cells) == 1 else f"{len(cells)} cells"
            return (
                f"{path}:{number}: {has}, {layout.width} in the rows above: the file seems cut off or "
                "joined: take that line out"
            )
        if not all(is_number(cell, layout.decimal) for cell in cells):
            return bad_cell(path, number, cells, layout.decimal)
    return f"{path} cannot be read as rows of numbers: {said.partition(chr(10))[0]}"


def _lines(path: Path, first: int) -> Iterator[tuple[int, str]]:
    """The lines that hold rows, with their numbers."""
    with open(path, encoding="utf-8-sig", errors="replace") as file:
        for number, line in enumerate(file, 1):
            if number >= first and (text := line.partition("#")[0].strip()):
                yield number, text


def _refuse_endless(path: Path, layout: Layout, values: numpy.ndarray) -> None:
    import numpy

    bad = ~numpy.isfinite(values).all(axis=1)
    if bad.any():
        number = line_of_row(path, layout.first_line, int(bad.argmax()))
        raise MeasurementError(
            f"{path}:{number}: a cell is no finite number: take out such rows, or measure again"
        )
