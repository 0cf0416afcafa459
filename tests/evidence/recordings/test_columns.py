"""Tables of numbers: every way of writing one that instruments have, and what is wrong with the others."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cfgaudit.evidence.recordings.columns import MeasurementError, column_called, line_of_row, read_columns
from evidence.tables import rows, table, written

NUMBERS = [[0.0, 1.5, -2.0], [0.5, 2.5, 3e-4], [1.0, -3.5, 7.0]]


def refusal(path: Path) -> str:
    """What is said of a file that cannot be used: one line that begins with its name."""
    with pytest.raises(MeasurementError) as caught:
        read_columns(path)
    told = str(caught.value)
    assert "\n" not in told
    assert told.startswith(str(path))
    return told.removeprefix(str(path))


@pytest.mark.parametrize("mark", [",", ";", "\t", " ", "   ", ", ", " ; "])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_marks_and_ends_of_lines(tmp_path: Path, mark: str, end: str) -> None:
    lines = [mark.join(map(str, row)) for row in NUMBERS]
    found = read_columns(table(tmp_path, mark.join(("time", "x", "y")), lines, end))
    assert found.names == ("time", "x", "y")
    assert (found.first_line, found.has_header) == (2, True)
    assert found.values.tolist() == NUMBERS


@pytest.mark.parametrize("mark", [";", "\t", " ", "   ", " ; "])
@pytest.mark.parametrize("quote", ["", '"'])
@pytest.mark.parametrize("header", [True, False])
def test_decimal_commas(tmp_path: Path, mark: str, quote: str, header: bool) -> None:
    """Half the world writes 0,5: as its spreadsheets and instruments save a table."""
    if quote and mark not in (";", "\t"):
        return  # numpy takes no quotes with blanks around them
    lines = [mark.join(f"{quote}{cell}{quote}".replace(".", ",") for cell in row) for row in NUMBERS]
    remark = f"{lines[0]} # 1.5, and so on"
    names = mark.join(("time", "x", "y")) if header else ""
    found = read_columns(table(tmp_path, names, [remark, *lines[1:]] if not quote else lines))
    assert found.values.tolist() == NUMBERS
    assert found.has_header == header


@pytest.mark.parametrize("mark", [";", "\t", " "])
def test_decimal_commas_after_whole_numbers(tmp_path: Path, mark: str) -> None:
    lines = [mark.join(("0", "0")), "", "# 1.5", mark.join(("1", "7")), mark.join(("0,5", "-2,25e-1"))]
    assert read_columns(table(tmp_path, "", lines)).values.tolist() == [[0, 0], [1, 7], [0.5, -0.225]]


@pytest.mark.parametrize("mark", [";", "\t", " "])
def test_decimal_points_long_after_whole_numbers(tmp_path: Path, mark: str) -> None:
    """The beginning that is looked at holds no decimals at all: nothing speaks for commas."""
    whole = [[at, 7] for at in range(12_000)]
    lines = [mark.join(map(str, row)) for row in [*whole, [12_000, 0.5]]]
    assert read_columns(table(tmp_path, "", lines)).values.tolist() == [*whole, [12_000, 0.5]]


@pytest.mark.parametrize("quoting", [csv.QUOTE_ALL, csv.QUOTE_NONNUMERIC, csv.QUOTE_MINIMAL])
def test_as_pythons_csv_writes_it(tmp_path: Path, quoting: int) -> None:
    """Source: the standard library's csv module, with a comma and a blank inside a name."""
    path = tmp_path / "run.csv"
    with open(path, "w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, quoting=quoting)  # type: ignore[arg-type]
        writer.writerows([["time, s", "x axis", "y"], *NUMBERS])
    found = read_columns(path)
    assert found.names == ("time, s", "x axis", "y")
    assert found.values.tolist() == NUMBERS


@pytest.mark.parametrize("header", ["time x y", "t,x,y"])
def test_as_numpy_writes_it(tmp_path: Path, header: str) -> None:
    """Source: numpy.savetxt, which puts its header into a remark."""
    mark = "," if "," in header else " "
    np.savetxt(tmp_path / "run.csv", NUMBERS, header=header, delimiter=mark)
    found = read_columns(tmp_path / "run.csv")
    assert found.names == tuple(header.split(mark))
    assert found.values.tolist() == NUMBERS


def test_remarks_and_empty_lines(tmp_path: Path) -> None:
    text = "# an evening, warm\n\ntime,x\n# more\n1,2\n\n# and more\n3,4 # here too\n"
    found = read_columns(written(tmp_path, text.encode()))
    assert (found.names, found.first_line) == (("time", "x"), 5)
    assert found.values.tolist() == [[1, 2], [3, 4]]
    assert line_of_row(tmp_path / "run.csv", found.first_line, 1) == 8


def test_a_remark_that_is_no_header(tmp_path: Path) -> None:
    found = read_columns(written(tmp_path, b"# a warm evening\n1,2\n3,4\n"))
    assert (found.names, found.has_header) == (("column 1", "column 2"), False)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "latin-1"])
def test_encodings(tmp_path: Path, encoding: str) -> None:
    text = "time (µs),x (m/s²)\n1,2\n3,4\n"
    found = read_columns(written(tmp_path, text.encode(encoding)))
    assert found.names == ("time (µs)", "x (m/s²)")
    assert found.values.tolist() == [[1, 2], [3, 4]]


def test_a_byte_order_mark_before_numbers(tmp_path: Path) -> None:
    assert read_columns(written(tmp_path, "1,2\n3,4\n".encode("utf-8-sig"))).values.tolist() == [
        [1, 2],
        [3, 4],
    ]


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"", " is empty"),
        (b"\n\n \n", " holds no row of numbers"),
        (b"time,x\n", " holds no row of numbers"),
        (b"time,x\n1,2\n3,4\n5\n", ":4: 1 cell, 2 in the rows above: the file seems cut off"),
        (b"time,x\n1,2\n3,4\n5,6,7\n", ":4: 3 cells"),
        (b"time,x\n1,2\n\n# so\n3,abc\n", ':5: "abc" is no number'),
        (b"time,x\nabc,2\n", ':2: "abc" is no number'),
        (b"1,2\n3,0x10\n", ':2: "0x10" is no number'),
        (b"1,2\n3,\n", ":2: a cell is empty"),
        (b"1,2\n3,nan\n", ":2: a cell is no finite number"),
        (b"1,2\n# x\n3,-inf\n", ":3: a cell is no finite number"),
        (b"1,2\n3,1e999\n", ":2: a cell is no finite number"),
        (b"time;x\n0.5;1\n1.5;2,25\n", ':3: "2,25" has a decimal comma: save the table with points for all'),
        (b"time;x\n0,5;1\n1.5;2\n", ':3: "1.5" has a decimal point, others have commas: save the table'),
        (b"time;x\n0,5;1,25\n1,5;1.000,5\n", ':3: "1.000,5" is no number'),
        (b"time;x\n0,5;1,25\n1,5;1,000,5\n", ':3: "1,000,5" is no number'),
        (b"time;x\n1;2\n0,5;1.25\n", ':3: "0,5" has a decimal comma'),
        (b"time;x\n0,5;1.25\n", ':2: "0,5" has a decimal comma'),
        (b'time,x\n"0,5","1,25"\n', ':2: "0,5" has a decimal comma: save the table with points'),
        (
            b"time,x\n0,5,1,25\n",
            ":2: the header names 2 columns, the rows have 4: save the table with points for all decimals",
        ),
        (b"time,x,y\n1,2\n", ":2: the header names 3 columns, the rows have 2: mend the header"),
        (b"time,x,X\n1,2,3\n", ': two columns are called "x"'),
        ("time,x\n1,2\n".encode("utf-16"), " is written in UTF-16: save it as UTF-8"),
        ("time,x\n1,2\n".encode("utf-16-le"), " is no text"),
        (b"\x7fELF\x00\x01\x02", " is no text"),
        (bytes(range(1, 256)) * 9, ""),
        (b"time,x\n" + b"1" * 70_000, " holds no row of numbers"),
    ],
)
def test_what_is_refused(tmp_path: Path, data: bytes, told: str) -> None:
    assert refusal(written(tmp_path, data)).startswith(told)


def test_what_is_no_file(tmp_path: Path) -> None:
    assert refusal(tmp_path) == " is a folder: name the file that the instrument wrote"
    assert refusal(tmp_path / "none.csv") == " is no file: name the file that the instrument wrote"
    assert "cannot be read" in refusal(tmp_path / ("x" * 300))
    assert " is packed: unpack it first" in refusal(written(tmp_path, b"\x1f\x8b", "run.csv.gz"))


def test_ten_million_rows_are_refused_at_once(tmp_path: Path) -> None:
    """Without reading a number of them: the last row, which is none, is never met."""
    path = written(tmp_path, b"time,x,y,z\n" + b"1,2,3,4\n" * 10_000_000 + b"end\n")
    assert refusal(path).startswith(" has more than 5,000,000 rows of 4")


def test_a_file_that_is_too_large_is_not_read(tmp_path: Path) -> None:
    path = tmp_path / "run.csv"
    with open(path, "wb") as file:
        file.truncate(500 << 20)  # takes no room on the disk
    assert " is larger than 400 MiB" in refusal(path)


def test_columns_by_name_and_number(tmp_path: Path) -> None:
    path = table(tmp_path, "Time,x,2", ["1,2,3"])
    found = read_columns(path)
    assert [column_called(path, found, name) for name in ("Time", " time", "X", "3", "2", "1")] == [
        0,
        0,
        1,
        2,
        2,
        0,
    ]
    for wrong in ("q", "", "0", "4", "²", "1" * 5000):
        with pytest.raises(MeasurementError, match="it has Time, x, 2"):
            column_called(path, found, wrong)


LOOSE = settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


@LOOSE
@given(data=st.binary(max_size=400))
def test_any_bytes(tmp_path: Path, data: bytes) -> None:
    only_measurement_errors(written(tmp_path, data))


@LOOSE
@given(text=st.text(st.sampled_from('0123456789.,;\t eE+-naif"#\n\r²x'), max_size=120))
def test_any_text_that_is_nearly_a_table(tmp_path: Path, text: str) -> None:
    only_measurement_errors(written(tmp_path, text.encode()))


@LOOSE
@given(
    st.lists(st.lists(st.floats(allow_nan=False, allow_infinity=False), min_size=3, max_size=3), min_size=1),
    st.sampled_from(",;\t "),
)
def test_numbers_come_back_as_they_were_written(
    tmp_path: Path, numbers: list[list[float]], mark: str
) -> None:
    lines = [mark.join(map(repr, row)) for row in numbers]
    assert read_columns(table(tmp_path, "", lines)).values.tolist() == numbers


def only_measurement_errors(path: Path) -> None:
    """Whatever is in a file, it is read, or refused in one line."""
    try:
        found = read_columns(path)
    except MeasurementError as error:
        told = str(error)
    else:
        told = ""
        assert found.values.shape[1] == len(found.names)
        assert np.isfinite(found.values).all()
    assert "\n" not in told


def test_rows_of_the_tables_here(tmp_path: Path) -> None:
    assert read_columns(table(tmp_path, "", rows(7))).values.shape == (7, 4)
