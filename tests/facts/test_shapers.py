"""Facts of shaped axes, from shapers written in every place and spelling that the trade has."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from .facts_of import fact_of, value_of

MZV_SPREAD = 0.08238
"""σ²f² of an undamped MZV: the second central moment of .2929 .4142 .2929 at 0, 3/8 and 3/4 of a period."""

AXIS = "[axis x]\nacceleration = 6700\nshaper kind = MZV\nshaper frequency = 48\n"
OWN_SECTION = (
    "[axis x]\nacceleration = 6700\nhighest = 300\n"
    "[shaper x]\nkind = modified zero vibration\nfrequency = 48 Hz\n"
)
FOR_ALL = (
    "[motion]\nhighest acceleration = 6700\n[axis x]\nhighest = 300\n[axis y]\nhighest = 300\n"
    "[input shaper]\nkind = m-z-v\nfrequency = 0.048 kHz\n"
)
BY_AXIS = (
    "[axis x]\nacceleration = 6700\n[axis y]\nacceleration = 3000\n"
    "[ringing filter]\nx_type = mzv\nx_freq = 48\ny_type = zv\ny_freq = 37\n"
)


@pytest.mark.parametrize("text", [AXIS, OWN_SECTION, FOR_ALL, BY_AXIS])
def test_a_shaper_is_found_wherever_it_is_written(text: str) -> None:
    moment = MZV_SPREAD / 48**2
    assert value_of(text, "axis.x.shaper_rounding") == pytest.approx(6700 * moment / 2, rel=1e-4)
    assert value_of(text, "axis.x.shaper_accel_ceiling") == pytest.approx(2 * 0.10 / moment, rel=1e-4)
    assert value_of(text, "axis.x.shaper_duration") == pytest.approx(0.75 / 48)
    band = value_of(text, "axis.x.shaper_band")
    assert isinstance(band, tuple)
    assert band[1] - band[0] == pytest.approx(0.1035 * 48, abs=0.005)


def test_damping_counts_where_it_is_stated() -> None:
    """50 Hz, ζ = 0.1: σ² = 32.587 ms², by hand."""
    text = "[shaper x]\nkind = mzv\nfrequency = 50\ndamping = {}\n[axis x]\nacceleration = 6137\n"
    for written in ("0.1", "10 %"):
        assert value_of(text.format(written), "axis.x.shaper_rounding") == pytest.approx(0.1, abs=1e-5)


@pytest.mark.parametrize(
    ("kind", "periods"),
    [
        ("ZV", 0.5),
        ("zvd", 1.0),
        ("ei", 1.0),
        ("EI 2-hump", 1.5),
        ("2 Hump - EI", 1.5),
        ("two-hump", 1.5),
        ("three-hump EI", 2.0),
        ("3hump", 2.0),
        ("ZVDD", 1.5),
    ],
)
def test_kinds_in_every_spelling(kind: str, periods: float) -> None:
    text = f"[shaper x]\nkind = {kind}\nfrequency = 40\n"
    text += "[axis x]\nhighest = 200\n"
    assert value_of(text, "axis.x.shaper_duration") == pytest.approx(periods / 40)


@pytest.mark.parametrize(
    "lines",
    [
        "kind = mzv",
        "frequency = 40",
        "kind = none\nfrequency = 40",
        "kind = wobble\nfrequency = 40",
        "kind = mzv\nfrequency = 0",
        "kind = mzv\nfrequency = {measured}",
        "kind = mzv\nfrequency = 40\ndamping = 7.5",
        "kind = mzv\nfrequency = 40\ndamping = {measured}",
    ],
)
def test_without_a_known_shaper_there_are_no_facts(lines: str) -> None:
    text = f"[shaper x]\n{lines}\n[axis x]\nhighest = 200\nacceleration = 3000\n"
    for quantity in ("rounding", "accel_ceiling", "duration", "band"):
        assert value_of(text, f"axis.x.shaper_{quantity}") is None


def test_without_an_acceleration_there_is_a_ceiling_but_no_rounding() -> None:
    text = "[shaper x]\nkind = zv\nfrequency = 40\n[axis x]\nhighest = 200\n"
    assert value_of(text, "axis.x.shaper_rounding") is None
    assert value_of(text, "axis.x.shaper_accel_ceiling") == pytest.approx(0.2 * 40**2 / 0.0625)


def test_the_machines_limit_counts_where_it_is_lower() -> None:
    rounding = value_of("[machine]\nhighest acceleration = 3350\n" + AXIS, "axis.x.shaper_rounding")
    assert rounding == pytest.approx(3350 * MZV_SPREAD / 48**2 / 2, rel=1e-4)
    assert value_of("[machine]\nhighest acceleration = 9000\n" + AXIS, "axis.x.shaper_rounding") == (
        pytest.approx(6700 * MZV_SPREAD / 48**2 / 2, rel=1e-4)
    )


def test_the_ceiling_names_the_setting_that_it_bounds() -> None:
    fact = fact_of(AXIS, "axis.x.shaper_accel_ceiling")
    assert fact is not None
    assert fact.bounds is not None
    assert fact.bounds.amount == 6700


@settings(max_examples=25, deadline=None)
@given(frequency=st.integers(20, 100), more=st.integers(0, 60), kind=st.sampled_from(["zv", "mzv", "ei"]))
def test_a_higher_frequency_never_lowers_the_ceiling(frequency: int, more: int, kind: str) -> None:
    def ceiling(hertz: int) -> float:
        text = f"[axis x]\nshaper kind = {kind}\nshaper frequency = {hertz}\n"
        value = value_of(text, "axis.x.shaper_accel_ceiling")
        assert isinstance(value, float)
        return value

    assert ceiling(frequency + more) >= ceiling(frequency)
