"""Headers of many hands: which column is the time, which are the accelerations, and their units."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from cfgaudit.evidence.recordings.channels import GRAVITY, Channels, find_channels, read_heading
from cfgaudit.evidence.recordings.columns import Columns, MeasurementError

PATH = Path("run.csv")
XYZ = {"x": 1, "y": 2, "z": 3}


def channels(*names: str, columns: tuple[str, ...] = ()) -> Channels:
    return find_channels(PATH, Columns(names, np.zeros((2, len(names))), 2), columns)


@pytest.mark.parametrize(
    ("header", "time_unit", "unit"),
    [
        ("time,accel_x,accel_y,accel_z", None, None),
        ("time,accel x,accel y,accel z", None, None),
        ("t (ms),X [g],Y [g],Z [g]", 1e-3, GRAVITY),
        ("seconds,ax,ay,az", 1.0, None),
        ("time (s),x (m/s²),y (m/s²),z (m/s²)", 1.0, 1e3),
        ("time, s|x, g|y, g|z, g", 1.0, GRAVITY),
        ("time_ms,ax_g,ay_g,az_g", 1e-3, GRAVITY),
        ("Time [µs],AccelX [mm/s^2],AccelY [mm/s^2],AccelZ [mm/s^2]", 1e-6, 1.0),
        ("t/s,a_x/(m/s²),a_y/(m/s²),a_z/(m/s²)", 1.0, 1e3),
        ("Elapsed time in milliseconds,x acc,y acc,z acc", 1e-3, None),
        ("clock,X acceleration (mg),Y acceleration (mg),Z acceleration (mg)", None, GRAVITY / 1000),
        ("TIMESTAMP (ns),ACC_X (M/S2),ACC_Y (M/S2),ACC_Z (M/S2)", 1e-9, 1e3),
        ("s,one (g),two (g),three (g)", 1.0, GRAVITY),
        ("time,first,second one,third", None, None),
        ("t,x in g,y in g,z in g", None, GRAVITY),
        ("t,accX,accY,accZ", None, None),
        ("epoch,x,y,z", None, None),
        ("elapsed,x,y,z", None, None),
        ("ts (µs),x,y,z", 1e-6, None),
        ("elapsed millis,x,y,z", 1e-3, None),
        ("secs,ax,ay,az", 1.0, None),
    ],
)
def test_headers(header: str, time_unit: float | None, unit: float | None) -> None:
    found = channels(*header.split("|" if "|" in header else ","))
    assert (found.time, found.signals) == (0, XYZ)
    assert (found.time_unit, found.unit) == (time_unit, pytest.approx(unit) if unit else None)


@pytest.mark.parametrize(
    ("names", "signals"),
    [
        (("time", "acceleration"), {"a": 1}),
        (("time", "acceleration", "temperature"), {"a": 1}),
        (("time", "temperature", "accel y"), {"y": 2}),
        (("time", "y (g)"), {"y": 1}),
        (("time", "whatever"), {"a": 1}),
        (("accel z", "accel y", "accel x", "time"), {"z": 0, "y": 1, "x": 2}),
        (("time", "x", "y", "z", "battery"), XYZ),
        (("time", "accel x", "accel y", "accel z", "turn x", "turn y", "turn z"), XYZ),
        (("time", "accel x", "accel y", "accel z", "accel whole"), XYZ),
    ],
)
def test_columns_beside_the_accelerations(names: tuple[str, ...], signals: dict[str, int]) -> None:
    found = channels(*names)
    assert (names[found.time], found.signals) == ("time", signals)


def test_without_a_header() -> None:
    for width, signals in ((4, XYZ), (2, {"a": 1})):
        names = tuple(f"column {number}" for number in range(1, width + 1))
        table = Columns(names, np.zeros((2, width)), 1, has_header=False)
        assert find_channels(PATH, table) == Channels(0, None, signals, None)
        assert find_channels(PATH, table, ("2", "1")).time == 1


def test_columns_that_are_named() -> None:
    names = ("sample", "x (g)", "when (ms)", "y (g)", "z (g)")
    asked = channels(*names, columns=("when (ms)", "z (g)", "2", "Y (G)"))
    assert asked == Channels(2, 1e-3, {"x": 4, "y": 1, "z": 3}, GRAVITY)
    assert channels(*names, columns=("3", "5")).signals == {"a": 4}


@pytest.mark.parametrize(
    ("names", "told"),
    [
        ("x,y,z,w", "no column is called time"),
        ("time,clock,x", "2 columns are called time"),
        ("time,x,y", "one or three columns"),
        ("time", "one or three columns"),
        ("time,accel x,accel y,accel r", "one or three columns"),
        ("time,x (g),y (m/s²),z (g)", r"different units \(g, m/s², g\)"),
        ("time,accel x (g),accel y,accel z", r"different units \(g, none, none\)"),
        ("time,x (ft/s²),y (ft/s²),z (ft/s²)", '"ft/s²" is no unit of acceleration'),
        ("time (h),x,y,z", '"h" is no unit of time'),
    ],
)
def test_headers_that_do_not_say_it(names: str, told: str) -> None:
    with pytest.raises(MeasurementError, match=rf"^run\.csv: .*{told}"):
        channels(*names.split(","))


@pytest.mark.parametrize("columns", [("t",), ("t", "x", "y"), ("t", "t"), ("t", "1"), ("t", "x", "y", "x")])
def test_columns_that_are_named_wrongly(columns: tuple[str, ...]) -> None:
    with pytest.raises(MeasurementError, match="each once"):
        channels("t", "x", "y", "z", columns=columns)


@pytest.mark.parametrize("width", [1, 3, 5])
def test_other_widths_need_names(width: int) -> None:
    table = Columns(("column 1",) * width, np.zeros((2, width)), 1, has_header=False)
    with pytest.raises(MeasurementError, match=rf"{width} columns? and no header.*--columns 1,2,3,4"):
        find_channels(PATH, table)


@given(st.lists(st.text(max_size=20), min_size=1, max_size=6), st.lists(st.text(max_size=4), max_size=4))
def test_any_header(names: list[str], columns: list[str]) -> None:
    for name in names:
        read_heading(name)
    try:
        found = channels(*names, columns=tuple(columns))
    except MeasurementError:
        return
    assert len({found.time, *found.signals.values()}) == 1 + len(found.signals)
    assert len(found.signals) in (1, 3)
