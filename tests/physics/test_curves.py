"""What a divider and a converter make of a sensor, whatever the sensor."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.physics.curves import (
    Curve,
    ntc_curve,
    platinum_curve,
    seen_at,
    steinhart_hart_curve,
    step_at,
    worst_step,
)
from cfgaudit.physics.divider import count_of_ohms, degrees_per_count, ohms_of_count, open_ohms, short_ohms

few = settings(max_examples=60)
ntcs = st.builds(
    lambda nominal, beta: ntc_curve(nominal=nominal, beta=beta),
    st.floats(1e3, 1e6),
    st.floats(2500.0, 5000.0),
)
platinums = st.builds(
    lambda nominal: platinum_curve(nominal=nominal), st.sampled_from([100.0, 500.0, 1000.0])
)
curves = ntcs | platinums
pullups = st.floats(100.0, 100e3)
bits = st.integers(8, 16)
warm = st.floats(0.0, 400.0)


@given(curves, pullups, bits, st.tuples(warm, warm, warm, warm))
@few
def test_a_wider_range_never_improves_the_worst_step(
    curve: Curve, pullup: float, bits: int, ends: tuple[float, ...]
) -> None:
    coldest, cold, hot, hottest = sorted(ends)
    narrow, _ = worst_step(curve, cold, hot, pullup=pullup, bits=bits)
    wide, _ = worst_step(curve, coldest, hottest, pullup=pullup, bits=bits)
    assert wide >= narrow * (1 - 1e-12)


@given(curves, pullups, bits, warm, warm, st.floats(0.0, 1.0))
@few
def test_no_step_between_the_ends_is_worse_than_the_worst(
    curve: Curve, pullup: float, bits: int, one: float, other: float, share: float
) -> None:
    low, high = sorted((one, other))
    between = min(max(low + share * (high - low), low), high)
    worst, at = worst_step(curve, low, high, pullup=pullup, bits=bits)
    assert step_at(curve, between, pullup=pullup, bits=bits) <= worst * (1 + 1e-12)
    assert at in (low, high)


@given(curves, pullups, bits, warm)
@few
def test_one_bit_more_halves_the_step(curve: Curve, pullup: float, bits: int, celsius: float) -> None:
    coarse = step_at(curve, celsius, pullup=pullup, bits=bits)
    assert step_at(curve, celsius, pullup=pullup, bits=bits + 1) == pytest.approx(coarse / 2)


@given(ntcs, pullups, bits)
@few
def test_more_bits_see_an_unplugged_thermistor_colder(curve: Curve, pullup: float, bits: int) -> None:
    fewer, more = (seen_at(curve, open_ohms(pullup=pullup, bits=one)) for one in (bits, bits + 1))
    assert fewer is not None
    assert more is not None
    assert more < fewer


@given(platinums, pullups, bits)
@few
def test_platinum_broken_reads_as_an_end_of_its_law(curve: Curve, pullup: float, bits: int) -> None:
    unplugged = seen_at(curve, open_ohms(pullup=pullup, bits=bits))
    shorted = seen_at(curve, short_ohms(pullup=pullup, bits=bits))
    assert unplugged is not None
    assert shorted is not None
    assert -200 <= shorted < unplugged <= 850


@given(st.floats(0.0, 1e9), pullups, bits)
@few
def test_a_count_read_backwards(ohms: float, pullup: float, bits: int) -> None:
    count = count_of_ohms(ohms, pullup=pullup, bits=bits)
    assert 0 <= count < 2**bits
    assert ohms_of_count(count, pullup=pullup, bits=bits) == pytest.approx(ohms, rel=1e-3, abs=1e-6)


def test_equal_resistances_stand_in_the_middle() -> None:
    assert count_of_ohms(4700.0, pullup=4700.0, bits=12) == 2048


@pytest.mark.parametrize("count", [-1, 4096])
def test_a_count_that_the_converter_has_not_is_refused(count: float) -> None:
    with pytest.raises(ValueError, match="count from 0 to 4095"):
        ohms_of_count(count, pullup=4700.0, bits=12)


def test_a_divider_needs_a_pull_up() -> None:
    with pytest.raises(ValueError, match="pull-up above 0"):
        count_of_ohms(100.0, pullup=0.0, bits=12)


def test_what_does_not_change_has_no_end_of_degrees() -> None:
    assert degrees_per_count(100.0, 0.0, pullup=4700.0, bits=12) == float("inf")


@pytest.mark.parametrize(("nominal", "beta"), [(0.0, 3950.0), (100e3, 0.0), (-1.0, 3950.0)])
def test_a_thermistor_of_nothing_is_refused(nominal: float, beta: float) -> None:
    with pytest.raises(ValueError, match="above 0"):
        ntc_curve(nominal=nominal, beta=beta)


def test_platinum_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="above 0"):
        platinum_curve(nominal=0.0)


def test_three_points_that_rise_are_no_thermistor() -> None:
    with pytest.raises(ValueError, match="fall with heat"):
        steinhart_hart_curve(((0.0, 100.0), (100.0, 138.51), (200.0, 175.86)))


@given(curves | st.just(steinhart_hart_curve(((25.0, 100e3), (150.0, 1641.9), (250.0, 226.15)))), warm)
@few
def test_a_formula_says_what_its_letters_stand_for(curve: Curve, celsius: float) -> None:
    for symbol, _, unit in curve.terms(celsius):
        assert symbol in curve.formula
        assert unit
