"""What curves must keep whatever the sensor: order, inverses, and what they refuse."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.physics.sensors import (
    fit_steinhart_hart,
    ntc_celsius,
    ntc_ohms,
    ntc_slope,
    platinum_celsius,
    platinum_ohms,
    platinum_slope,
    steinhart_hart_celsius,
    steinhart_hart_ohms,
    steinhart_hart_slope,
)

temperatures = st.floats(-100.0, 500.0)
nominals = st.floats(100.0, 1e6)
betas = st.floats(2000.0, 6000.0)
few = settings(max_examples=60)


@given(temperatures, st.floats(0.01, 100.0), nominals, betas)
@few
def test_a_thermistor_falls_with_heat(celsius: float, warmer: float, nominal: float, beta: float) -> None:
    cold = ntc_ohms(celsius, nominal=nominal, beta=beta)
    assert ntc_ohms(celsius + warmer, nominal=nominal, beta=beta) < cold


@given(temperatures, nominals, betas)
@few
def test_a_thermistor_read_backwards(celsius: float, nominal: float, beta: float) -> None:
    ohms = ntc_ohms(celsius, nominal=nominal, beta=beta)
    assert ntc_celsius(ohms, nominal=nominal, beta=beta) == pytest.approx(celsius, abs=1e-6)


@given(nominals, betas)
@few
def test_at_25_degrees_a_thermistor_has_what_is_written_on_it(nominal: float, beta: float) -> None:
    assert ntc_ohms(25.0, nominal=nominal, beta=beta) == pytest.approx(nominal)


@given(st.floats(-200.0, 849.0), st.floats(0.01, 1.0))
@few
def test_platinum_rises_with_heat(celsius: float, warmer: float) -> None:
    assert platinum_ohms(celsius + warmer, nominal=100.0) > platinum_ohms(celsius, nominal=100.0)


@given(st.floats(-200.0, 850.0), st.floats(10.0, 10_000.0))
@few
def test_platinum_read_backwards(celsius: float, nominal: float) -> None:
    ohms = platinum_ohms(celsius, nominal=nominal)
    found = platinum_celsius(ohms, nominal=nominal)
    assert found is None or found == pytest.approx(celsius, abs=1e-6)
    assert found is not None or celsius in (-200.0, 850.0)


@given(st.floats(-50.0, 300.0), nominals, betas)
@few
def test_three_points_of_a_thermistor_of_one_beta_give_its_curve(
    celsius: float, nominal: float, beta: float
) -> None:
    points = [(at, ntc_ohms(at, nominal=nominal, beta=beta)) for at in (0.0, 100.0, 250.0)]
    coefficients = fit_steinhart_hart((points[0], points[1], points[2]))
    ohms = ntc_ohms(celsius, nominal=nominal, beta=beta)
    assert steinhart_hart_ohms(celsius, coefficients) == pytest.approx(ohms, rel=1e-4)
    assert steinhart_hart_celsius(ohms, coefficients) == pytest.approx(celsius, abs=0.01)


@given(temperatures, st.sampled_from(["thermistor", "platinum", "three points"]))
@few
def test_slopes_are_the_difference_over_a_hundredth_of_a_degree(celsius: float, sort: str) -> None:
    coefficients = fit_steinhart_hart(((25.0, 100e3), (150.0, 1641.9), (250.0, 226.15)))
    curve, slope = {
        "thermistor": (
            lambda at: ntc_ohms(at, nominal=100e3, beta=3950.0),
            lambda at: ntc_slope(at, nominal=100e3, beta=3950.0),
        ),
        "platinum": (
            lambda at: platinum_ohms(at, nominal=100.0),
            lambda at: platinum_slope(at, nominal=100.0),
        ),
        "three points": (
            lambda at: steinhart_hart_ohms(at, coefficients),
            lambda at: steinhart_hart_slope(at, coefficients),
        ),
    }[sort]
    difference = (curve(celsius + 0.005) - curve(celsius - 0.005)) / 0.01
    assert slope(celsius) == pytest.approx(difference, rel=1e-5)


def test_what_is_no_resistance_is_refused() -> None:
    for ohms in (0.0, -1.0):
        with pytest.raises(ValueError, match="above 0"):
            ntc_celsius(ohms, nominal=100e3, beta=3950.0)


def test_nothing_is_colder_than_absolute_zero() -> None:
    with pytest.raises(ValueError, match="as cold"):
        ntc_ohms(-273.15, nominal=100e3, beta=3950.0)


@pytest.mark.parametrize("celsius", [-200.1, 850.1])
def test_outside_its_standard_platinum_is_refused(celsius: float) -> None:
    with pytest.raises(ValueError, match="defined from"):
        platinum_ohms(celsius, nominal=100.0)


def test_outside_its_standard_platinum_has_no_temperature() -> None:
    assert platinum_celsius(18.5, nominal=100.0) is None
    assert platinum_celsius(391.0, nominal=100.0) is None


def test_a_law_without_end_gives_no_endless_heat() -> None:
    assert ntc_celsius(0.1, nominal=100e3, beta=3950.0) is None


def test_points_that_no_thermistor_has_are_refused() -> None:
    with pytest.raises(ValueError, match="different"):
        fit_steinhart_hart(((0.0, 100.0), (25.0, 100.0), (50.0, 50.0)))
    rising = fit_steinhart_hart(((0.0, 100.0), (100.0, 138.51), (200.0, 175.86)))
    with pytest.raises(ValueError, match="fall with heat"):
        steinhart_hart_ohms(25.0, rising)
