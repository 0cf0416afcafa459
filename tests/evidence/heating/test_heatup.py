"""A heat-up as recorded: columns, units and duties that are understood, and what is refused."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, event, given, settings
from hypothesis import strategies as st

from cfgaudit.evidence.heating.heatup import POINTS_AT_MOST, read_heatup
from cfgaudit.evidence.recordings.columns import MeasurementError

Write = Callable[[str], Path]
LETTERS = "0123456789.,;-e#nainf\t\n tempduy()%"


@pytest.fixture
def write(tmp_path: Path) -> Write:
    def write_text(text: str) -> Path:
        path = tmp_path / "run.csv"
        path.write_text(text, encoding="utf-8")
        return path

    return write_text


def rows(count: int = 40, *, duty: str = "1", mark: str = ",", back: int = -1, step: float = 1.0) -> str:
    """A heater that rises by 2 K a second; at row ``back`` the time goes back."""
    times = [at * step - (5 * step if at == back else 0) for at in range(count)]
    return "".join(f"{time:g}{mark}{20 + 2 * at}{mark}{duty}\n" for at, time in enumerate(times))


@pytest.mark.parametrize(
    "header",
    [
        "",
        "time,temperature,duty\n",
        "Time (s),Temp (°C),Duty\n",
        "seconds,bed temp,power (1)\n",
        "t,measured [C],pwm\n",
        "# from a shelf\nclock,reading,output\n",
    ],
)
def test_columns_are_found(write: Write, header: str) -> None:
    run = read_heatup(write(header + rows()))
    assert run.time[0] == 0.0
    assert run.step == pytest.approx(1.0)
    assert run.temperature[0] == pytest.approx(20.0)
    assert set(run.duty) == {1.0}
    assert run.notes == ()


def test_columns_are_named(write: Write) -> None:
    text = "a;b;c;d\n" + "".join(f"7;0.5;{20 + at};{at}\n" for at in range(40))
    for columns in (["d", "c", "b"], ["4", "3", "2"]):
        run = read_heatup(write(text), columns)
        assert (run.time[-1], set(run.duty)) == (39.0, {0.5})


@pytest.mark.parametrize(
    ("header", "seconds"),
    [
        ("time (s)", 39.0),
        ("time (ms)", 0.039),
        ("time [min]", 2340.0),
        ("time in minutes", 2340.0),
        ("time_ms", 0.039),
        ("time (µs)", 0.000039),
        ("time (millisecond)", 0.039),
        ("seconds", 39.0),
        ("time ()", 39.0),
        ("t", 39.0),
    ],
)
def test_units_of_time(write: Write, header: str, seconds: float) -> None:
    assert read_heatup(write(f"{header},temp,duty\n" + rows())).time[-1] == pytest.approx(seconds)


@pytest.mark.parametrize(
    ("header", "cold", "hot"),
    [
        ("temp", 20.0, 98.0),
        ("temp (°C)", 20.0, 98.0),
        ("temperature/°C", 20.0, 98.0),
        ("temp (°F)", -20.0 / 3.0, 36.0 + 2.0 / 3.0),
        ("temp F", -20.0 / 3.0, 36.0 + 2.0 / 3.0),
    ],
)
def test_units_of_temperature(write: Write, header: str, cold: float, hot: float) -> None:
    """0 °C = 273.15 K = 32 °F, and 5 K = 9 °F: the international system of units. 20 and 98 are written."""
    text = f"time (s),{header},duty\n" + rows()
    run = read_heatup(write(text))
    assert (run.temperature[0], run.temperature[-1]) == pytest.approx((cold, hot))
    assert ("temperature" in run.units) == (header != "temp")
    assert "time" in run.units


@pytest.mark.parametrize("header", ["temp (K)", "temp_k", "bed temp in kelvin"])
def test_kelvin(write: Write, header: str) -> None:
    text = f"time,{header},duty\n" + "".join(f"{at},{293.15 + 2 * at},1\n" for at in range(40))
    run = read_heatup(write(text))
    assert (run.temperature[0], run.temperature[-1]) == pytest.approx((20.0, 98.0))
    assert run.units == {"temperature"}


def test_an_odd_row_is_named_by_its_line(write: Write) -> None:
    """Between 64 to 72 and 76 to 84 °C: 250 is 170 K from the nearer median, 80."""
    lines = ["# from a shelf", "time,temp,duty", "", *rows().splitlines()]
    lines[3 + 27] = lines[3 + 27].replace(",74,", ",250,")
    with pytest.raises(MeasurementError) as refusal:
        read_heatup(write("\n".join(lines)))
    assert str(refusal.value).endswith("run.csv:31: 250 °C, 170 K from its neighbours: take that row out")
    lines[3 + 9] = lines[3 + 9].replace(",38,", ",-40,")
    with pytest.raises(
        MeasurementError, match=r":13: -40 °C, .+ and another such row: look for a loose wire"
    ):
        read_heatup(write("\n".join(lines)))


@pytest.mark.parametrize(
    ("header", "duty", "share", "notes"),
    [
        ("duty", "80", 0.8, 1),
        ("duty (%)", "80", 0.8, 0),
        ("duty (%)", "0.5", 0.005, 0),
        ("duty", "0.5", 0.5, 0),
    ],
)
def test_duties(write: Write, header: str, duty: str, share: float, notes: int) -> None:
    run = read_heatup(write(f"time,temp,{header}\n" + rows(duty=duty)))
    assert run.duty == pytest.approx(np.full(len(run.duty), share))
    assert len(run.notes) == notes


def test_what_was_given_is_kept_however_seldom_it_is_sampled(write: Write) -> None:
    """10,000 samples of a duty that is on for one in four: 0.25 on average, whatever is sampled."""
    text = "".join(f"{at / 10},{20 + at / 100},{int(at % 4 == 0)}\n" for at in range(10_000))
    run = read_heatup(write(text))
    assert len(run.time) == POINTS_AT_MOST + 1
    assert run.duty.mean() == pytest.approx(0.25, abs=0.001)


def test_missing_samples_are_told(write: Write) -> None:
    text = rows(40) + "".join(f"{200 + at},{100 + at},1\n" for at in range(20))
    assert "samples are missing, for 161 s" in read_heatup(write(text)).notes[0]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "is empty"),
        (rows(10), "10 samples, 20 are the least"),
        (rows(back=20), ":21: the time stands still or goes back"),
        ("time,temp,duty\n" + rows(duty="101"), "duty goes from 101 to 101"),
        ("time,temp,duty (1)\n" + rows(duty="1.5"), "duty goes from 1.5 to 1.5"),
        (rows(duty="-0.5"), "never above 0"),
        (rows(duty="0"), "never above 0"),
        ("".join(f"{at},21,1\n" for at in range(40)), "rises by less than 15 K"),
        ("".join(f"{at},{200 - at},1\n" for at in range(40)), "rises by less than 15 K"),
        ("".join(f"{at},{20 + 100 * at},1\n" for at in range(40)), "give °C"),
        ("time,temp (°R),duty\n" + rows(), '"°r" is no unit of temperature here: give it in °C, K or °F'),
        ("time (h),temp,duty\n" + rows(), '"h" is no unit of time'),
        ("time,temp,duty (W)\n" + rows(), '"w" is no unit of duty'),
        ("time,temp,volts\n" + rows(), "no column is called duty"),
        ("time,temp bed,temp nozzle\n" + rows(), "more than one column is called temperature"),
        (rows().replace(",1\n", ",1,1\n"), "4 columns and no header"),
        (rows() + "40,nan,1\n", "no finite number"),
        (rows() + "40,inf,1\n", "no finite number"),
        (rows() + "40,1\n", ":41:"),
        (rows() + "forty,99,1\n", ":41:"),
        ("\0" * 50, "is no text"),
    ],
)
def test_what_cannot_be_used(write: Write, text: str, said: str) -> None:
    path = write(text)
    with pytest.raises(MeasurementError) as refusal:
        read_heatup(path)
    assert str(refusal.value).startswith(str(path))
    assert said in str(refusal.value)


@pytest.mark.parametrize("names", ["time", "time time duty", "time temp volts", "1 2 9"])
def test_columns_that_are_not_there(write: Write, names: str) -> None:
    with pytest.raises(MeasurementError, match=r"--columns needs three|has no column"):
        read_heatup(write("time,temp,duty\n" + rows()), names.split())


def test_no_file(tmp_path: Path) -> None:
    with pytest.raises(MeasurementError, match="is no file"):
        read_heatup(tmp_path / "none.csv")


@settings(max_examples=80, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(st.binary(max_size=200) | st.text(LETTERS, max_size=200).map(str.encode))
def test_any_bytes_are_read_or_refused(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "any.csv"
    path.write_bytes(data)
    try:
        run = read_heatup(path)
    except MeasurementError as refusal:
        event(str(refusal).removeprefix(str(path))[:12])
    else:
        assert np.isfinite(run.temperature).all()


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(
    st.lists(st.tuples(st.floats(0.01, 50), st.floats(-50, 400), st.floats(0, 1)), min_size=20, max_size=60)
)
def test_any_numbers(tmp_path: Path, samples: list[tuple[float, float, float]]) -> None:
    times = np.cumsum([one[0] for one in samples])
    path = tmp_path / "any.csv"
    np.savetxt(path, np.column_stack([times, [one[1:] for one in samples]]), delimiter=",")
    try:
        run = read_heatup(path)
    except MeasurementError as refusal:
        event(str(refusal).removeprefix(str(path))[:30])
    else:
        assert run.duty.min() >= 0.0
        assert run.duty.max() <= 1.0 + 1e-6
