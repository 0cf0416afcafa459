"""A probe's readings as text: what is read, and what is refused with its line."""

from __future__ import annotations

import pytest
from hypothesis import event, given
from hypothesis import strategies as st

from cfgaudit.evidence.probing.readings import FARTHEST, read_readings
from cfgaudit.evidence.recordings.columns import MeasurementError


def refused(data: bytes | str, column: str | None = None) -> str:
    with pytest.raises(MeasurementError) as refusal:
        read_readings("r.txt", data.encode() if isinstance(data, str) else data, column)
    told = str(refusal.value)
    assert told.startswith("r.txt")
    assert "\n" not in told
    return told


@pytest.mark.parametrize(
    "text",
    [
        "1.5\n1.25\n",
        "\ufeff1.5\r\n1.25",
        "1.5\r1.25\r",
        "# at noon\n\n 1.5  # first\n+1.25e0\n",
        "height (mm)\n1.5\n1.25\n",
        '"1.5"\n"1.25"\n',
    ],
)
def test_one_reading_a_line(text: str) -> None:
    assert read_readings("r", text.encode()) == [1.5, 1.25]


@pytest.mark.parametrize("column", ["z", "Z", " z ", "2"])
def test_a_column_by_name_or_number(column: str) -> None:
    assert read_readings("r", b"try;z;note\n1;1.5;a\n2;1.25;b\n", column) == [1.5, 1.25]


@pytest.mark.parametrize("column", ["2", "reading mm", "Reading MM"])
@pytest.mark.parametrize("mark", [";", "\t"])
@pytest.mark.parametrize("decimal", [",", "."])
def test_decimal_commas_where_another_mark_parts_the_columns(column: str, mark: str, decimal: str) -> None:
    text = f"nr{mark}reading mm\n0{mark}1{decimal}1027\n1{mark}-0{decimal}9\n1{mark}1\n"
    with pytest.raises(MeasurementError, match="lie 2"):
        read_readings("r", text.encode(), column)
    text = text.replace("-0", "0")
    assert read_readings("r", text.encode(), column) == [1.1027, 0.9, 1.0]
    assert read_readings("r", text.partition("\n")[2].encode(), "2") == [1.1027, 0.9, 1.0]


@pytest.mark.parametrize(
    ("header", "factor"),
    [
        ("reading (um)", 1e-3),
        ("reading [µm]", 1e-3),
        ("reading (μm)", 1e-3),
        ("reading_um", 1e-3),
        ("height in micrometres", 1e-3),
        ("reading (mm)", 1.0),
        ("reading mm", 1.0),
        ("reading", 1.0),
        ("um", 1.0),
        ("z (m)", 1e3),
    ],
)
def test_units_of_the_header(header: str, factor: float) -> None:
    text = f"{header}\n{0.25 / factor!r}\n{0.5 / factor!r}\n"
    assert read_readings("r", text.encode()) == pytest.approx([0.25, 0.5])


def test_a_column_by_number_without_a_header() -> None:
    assert read_readings("r", b"1\t1.5\n2\t1.25\n", "2") == [1.5, 1.25]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "r.txt is empty"),
        ("\n \n", "r.txt is empty"),
        ("# only words\n", "no reading"),
        ("z\n", "no reading"),
        ("1.5\n", "one reading"),
        ("1.5\nabout two\n", 'r.txt:2: "about two" is no number'),
        ("1.5\nnan\n", 'r.txt:2: "nan" is no number'),
        ("nan\n1.5\n", 'r.txt:1: "nan" is no number'),
        ("1.5\n-inf\n", 'r.txt:2: "-inf" is no number'),
        ("1.5\n1e999\n", "r.txt:2: 1e999 mm is no reading of a bed"),
        ("1.5\n0x10\n", 'r.txt:2: "0x10" is no number'),
        ("1,5\n1,6\n", 'r.txt:1: "1,5" looks like a decimal comma: write decimals with a point'),
        ("# z\n-1,25\n-1,26\n", 'r.txt:2: "-1,25" looks like a decimal comma'),
        ("1;1.5\n2;1.6\n", "r.txt:1: 2 columns: say with --column"),
        ("1,1.5\n2,1.6\n", "r.txt:1: 2 columns: say with --column"),
        ("1852.4\n1853.1\n", "r.txt:1: 1852.4 mm is no reading of a bed: give the readings in mm"),
        ("z (thou)\n1\n2\n", "r.txt:1: the readings are in thou: give them in mm or µm"),
        ("z (m)\n1.5\n1.5\n", "r.txt:2: 1.5, 1500 mm, is no reading of a bed"),
        ("z (µm)\n100\n3500\n", "lie 3.4 mm apart"),
        ("0.1\n3.4\n", "lie 3.3 mm apart"),
        ("١.٥\n١.٥\n", 'r.txt:1: "١.٥" is no number'),
    ],
)
def test_what_cannot_be_used(text: str, said: str) -> None:
    assert said in refused(text)


def test_bytes_that_are_no_text() -> None:
    assert "is no text" in refused(b"\x00\x01\x02")
    for order in ("utf-16", "utf-16-be"):
        bytes_of = ("" if order == "utf-16" else "\ufeff") + "1.5\n1.25\n"
        assert "r.txt is written in UTF-16: save it as UTF-8" in refused(bytes_of.encode(order))
    assert "is no number" in refused(b"1.5\n\xff\xfe\n")


@pytest.mark.parametrize("column", ["w", "0", "4", "", "²", "-1"])
def test_a_column_that_is_not_there(column: str) -> None:
    assert f'no column "{column}": name one of try, z, note' in refused("try,z,note\n1,2,3\n", column)


def test_a_row_that_is_cut_off() -> None:
    assert "r.txt:3: 1 cell, 2 in the first row" in refused("try,z\n1,1.5\n2\n", "z")


def test_too_many() -> None:
    assert "more than 100000 readings" in refused("1\n" * 100_001)
    assert "larger than 16 MiB" in refused(b"1" * (16 * 1024 * 1024 + 1))


@given(
    st.one_of(
        st.binary(max_size=80), st.text('0123456789.,;-+eE#nainf\t\n\r "z(m)', max_size=80).map(str.encode)
    ),
    st.sampled_from([None, "z", "1", "2"]),
)
def test_any_bytes_are_read_or_refused(data: bytes, column: str | None) -> None:
    try:
        readings = read_readings("r", data, column)
    except MeasurementError as refusal:
        event(str(refusal)[:20])
        return
    assert len(readings) >= 2
    assert all(abs(one) <= FARTHEST for one in readings)


@given(st.lists(st.integers(-400, 400).map(lambda one: one / 1000), min_size=2, max_size=30))
def test_what_is_written_is_read(values: list[float]) -> None:
    if max(values) - min(values) <= 0.5:
        assert read_readings("r", "\n".join(map(repr, values)).encode()) == values
