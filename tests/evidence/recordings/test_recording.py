"""Runs of an accelerometer: units, times and what is said of them; and runs that cannot be used."""

from __future__ import annotations

import re
import warnings
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cfgaudit.evidence.recordings.columns import MeasurementError
from cfgaudit.evidence.recordings.recording import Recording, read_recording
from evidence.tables import rows, table, written

STANDARD_GRAVITY = 9806.65
"""mm/s² (3rd CGPM, 1901)."""


def recorded(folder: Path, header: str, lines: list[str]) -> Recording:
    return read_recording(table(folder, header, lines))


def refusal(folder: Path, header: str, lines: list[str]) -> str:
    with pytest.raises(MeasurementError) as caught:
        recorded(folder, header, lines)
    assert "\n" not in str(caught.value)
    return str(caught.value).removeprefix(str(folder / "run.csv"))


def jittered(share: float, *, seed: int = 0) -> list[str]:
    """Rows whose times are off by a share of the interval."""
    random = np.random.default_rng(seed)
    times = (np.arange(2000) + share * random.uniform(-0.5, 0.5, 2000)) / 1000
    return [f"{time:.9f},{np.sin(2 * np.pi * 40 * time):.9f}" for time in times]


@pytest.mark.parametrize(
    ("unit", "factor"), [("g", STANDARD_GRAVITY), ("mg", 9.80665), ("m/s²", 1000.0), ("mm/s²", 1.0)]
)
def test_units_that_are_named(tmp_path: Path, unit: str, factor: float) -> None:
    found = recorded(tmp_path, f"time (s),x ({unit})", rows(columns=1))
    assert found.notes == ()
    swing = np.sin(0.7 * np.arange(400))
    np.testing.assert_allclose(found.signals["x"], factor * (swing - swing.mean()), atol=1e-5 * factor)


@pytest.mark.parametrize(("unit", "size"), [("g", 1.5), ("m/s²", 30.0), ("mm/s²", 20_000.0)])
def test_units_by_size(tmp_path: Path, unit: str, size: float) -> None:
    found = recorded(tmp_path, "time (s),x,y,z", rows(size=size))
    assert found.notes == (f"no unit is stated; by their size the accelerations are in {unit}",)
    largest = {"g": 1.5 * STANDARD_GRAVITY, "m/s²": 30_000, "mm/s²": 20_000}[unit]
    assert np.ptp(found.signals["x"]) == pytest.approx(2 * largest, rel=0.01)


@pytest.mark.parametrize(("unit", "gravity"), [("g", 1.0), ("m/s²", 9.81), ("mm/s²", 9807.0)])
def test_units_by_gravity(tmp_path: Path, unit: str, gravity: float) -> None:
    """An instrument that lies still shows 1 g: a gentle shake in m/s² is not taken for one in g."""
    swings = gravity * np.sin(np.arange(400))
    lines = [
        f"{at / 1000},{0.2 * swing:.6f},{gravity + 0.1 * swing:.6f},0" for at, swing in enumerate(swings)
    ]
    found = recorded(tmp_path, "time,x,y,z", lines)
    assert found.notes == (f"no unit is stated; gravity, which was recorded too, says {unit}",)
    assert np.ptp(found.signals["x"]) == pytest.approx(0.4 * STANDARD_GRAVITY, rel=0.01)


def test_a_mean_by_chance_is_no_gravity(tmp_path: Path) -> None:
    """A sweep up to 4600 with a mean of 0.86, in mm/s²: as g it would be beyond any instrument."""
    time = np.arange(4000) / 1000
    swings = np.sin(2 * np.pi * (5 + 10 * time) * time)
    swings *= 4600 / np.abs(swings).max()
    lines = [f"{at:.4f},{one:.3f}" for at, one in zip(time, swings - swings.mean() + 0.86, strict=True)]
    found = recorded(tmp_path, "time,x", lines)
    assert found.notes == ("no unit is stated; by their size the accelerations are in mm/s²",)
    assert np.abs(found.signals["x"]).max() == pytest.approx(4600, rel=0.01)


def test_a_mean_that_is_not_there_at_rest_is_no_gravity(tmp_path: Path) -> None:
    """At rest it reads 0; blows to one side make a mean of 1, in m/s²."""
    blows = np.where(np.arange(4000) % 1000 < 50, 20.0, 0.0) + 0.01 * np.sin(np.arange(4000))
    lines = [f"{at / 1000},{one:.4f}" for at, one in enumerate(blows)]
    found = recorded(tmp_path, "time,x", lines)
    assert found.notes == ("no unit is stated; by their size the accelerations are in m/s²",)


@pytest.mark.parametrize(("header", "scale"), [("time (ms)", 1e3), ("time (µs)", 1e6), ("time", 1), ("s", 1)])
def test_units_of_time_that_are_named(tmp_path: Path, header: str, scale: float) -> None:
    found = recorded(tmp_path, f"{header},x (g)", rows(step=scale / 1600, columns=1))
    assert found.rate == pytest.approx(1600, rel=1e-4)
    assert found.seconds == pytest.approx(400 / 1600, rel=1e-4)
    assert found.notes == ()


@pytest.mark.parametrize(("unit", "scale"), [("ms", 1e3), ("µs", 1e6), ("ns", 1e9)])
def test_units_of_time_by_size(tmp_path: Path, unit: str, scale: float) -> None:
    found = recorded(tmp_path, "time,x (g)", rows(step=scale / 1600, columns=1))
    assert found.rate == pytest.approx(1600, rel=1e-4)
    assert found.notes == (f"no unit of time is stated; by their size the times are in {unit}",)


def test_uneven_samples_are_interpolated(tmp_path: Path) -> None:
    found = recorded(tmp_path, "time (s),x (mm/s²)", jittered(0.9))
    (note,) = found.notes
    assert re.match(r"samples came unevenly \(by \d+ %\) and are interpolated to ", note)
    times = np.arange(len(found.signals["x"])) / found.rate
    swing = np.sin(2 * np.pi * 40 * times)
    assert np.abs(found.signals["x"] - swing).max() < 0.15
    assert np.corrcoef(found.signals["x"], swing)[0, 1] > 0.999


def test_times_that_are_rounded_are_even(tmp_path: Path) -> None:
    lines = [f"{at / 3200:.5f},{np.sin(at):.6f}" for at in range(2000)]
    found = recorded(tmp_path, "time (s),x (g)", lines)
    assert found.notes == ()
    assert found.rate == pytest.approx(3200, rel=1e-5)


def test_gaps_are_bridged_and_told(tmp_path: Path) -> None:
    lines = rows(4000, step=1 / 1000, columns=1)
    del lines[1000:1050], lines[3000:3020]
    found = recorded(tmp_path, "time (s),x (g)", lines)
    assert found.notes == ("2 gaps, up to 51 ms long, bridged by straight lines",)
    assert found.rate == pytest.approx(1000, rel=1e-6)
    assert len(found.signals["x"]) == pytest.approx(4000, abs=2)
    lines = rows(1000, step=1 / 1000, columns=1)
    del lines[300:320]
    assert "1 gap, up to 21 ms long" in recorded(tmp_path, "time (s),x (g)", lines).notes[0]


def test_a_run_that_is_mostly_missing(tmp_path: Path) -> None:
    lines = rows(4000, step=1 / 1000, columns=1)
    assert ": 2 s of the run are missing in one gap" in refusal(
        tmp_path, "time (s),x (g)", lines[:1000] + lines[3000:]
    )
    assert "s of the run are missing" in refusal(tmp_path, "time (s),x (g)", [*lines, "1e9,0"])


def test_clipping_is_told(tmp_path: Path) -> None:
    lines = [f"{at / 1000},{min(0.8, np.sin(at / 9)):.6f},{np.sin(at / 9):.6f},0" for at in range(1000)]
    found = recorded(tmp_path, "time (s),x (g),y (g),z (g)", lines)
    assert found.notes[0] == "x is clipped: it went beyond the instrument's range"
    assert len([one for one in found.notes if "clipped" in one]) == 1


def test_a_slow_instrument_sees_less(tmp_path: Path) -> None:
    found = recorded(tmp_path, "time (s),x (g)", rows(step=1 / 400, columns=1))
    assert found.notes == ("at 400 samples a second nothing beyond 160 Hz can be told",)


STILL = [f"{at / 1000},1,2,3" for at in range(400)]
BACK = [*rows(300), "0.01,1,2,3"]
STOOD = [*rows(300), rows(300)[-1]]


@pytest.mark.parametrize(
    ("header", "lines", "told"),
    [
        ("time,x,y,z", rows(1), " has one sample, 256 are the least"),
        ("time,x,y,z", rows(255), " has 255 samples, 256 are the least"),
        ("time,x,y,z", STILL, ": nothing moves, every acceleration is the same"),
        ("time,x,y,z", BACK, ":302: the time goes back"),
        ("time,x,y,z", STOOD, ":302: the time stands still"),
        ("time,x,y,z", rows(step=-0.001), ":3: the time goes back"),
        (
            "time (s),x,y,z",
            rows(step=0.01),
            " has 100 samples a second, of use are 200 to 200,000: sample faster",
        ),
        ("time,x,y,z", rows(step=0.01), " has 100 samples a second"),
        ("time (s),x,y,z", rows(step=312), " has 0.00321 samples a second"),
        (
            "time (µs),x,y,z",
            rows(step=0.001),
            " has 1,000,000,000 samples a second, of use are 200 to 200,000: write the unit of the time into",
        ),
        ("time (s),x,y,z", rows(300, step=1e-4), " lasts 0.0299 s, 0.1 s are the least"),
        ("time,x,y,z", rows(size=1e200), " has accelerations of 1e+200, which cannot be in any unit"),
        ("time,x,y,z", rows(step=1e300), " has times of 4e+302, which cannot be in any unit"),
    ],
)
def test_what_is_refused(tmp_path: Path, header: str, lines: list[str], told: str) -> None:
    assert refusal(tmp_path, header, lines).startswith(told)


@settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.sampled_from(["", "time,x", "time (s),x (g)", "t;x", "time,x,y,z", "ms,x"]),
    st.sampled_from(",;\t "),
    st.floats(1e-9, 1e6),
    st.floats(0, 2),
    st.floats(-1e9, 1e9),
    st.integers(250, 300),
    st.lists(st.tuples(st.integers(0, 249), st.floats(allow_nan=True)), max_size=3),
    st.integers(0, 9),
)
def test_any_run(
    tmp_path: Path,
    header: str,
    mark: str,
    step: float,
    jitter: float,
    offset: float,
    count: int,
    odd: list[tuple[int, float]],
    seed: int,
) -> None:
    """A run, or one line that says why not: no other error, and no warning of numpy's on a terminal."""
    random = np.random.default_rng(seed)
    cells = np.column_stack(
        [(np.arange(count) + jitter * random.uniform(size=count)) * step, offset + random.normal(size=count)]
    )
    for row, value in odd:
        cells[row, row % 2] = value
    text = "\n".join([header, *(mark.join(map(repr, map(float, row))) for row in cells)])
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        try:
            found = read_recording(written(tmp_path, text.encode()))
        except MeasurementError:
            return
    assert 199 < found.rate < 200_001
    for signal in found.signals.values():
        assert np.isfinite(signal).all()
        assert len(signal) <= 3 * count
