"""Thermistors against worked values and against the library thermistor-utils."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from thermistor_utils import Beta_converter, SH_converter

from cfgaudit.physics.sensors import (
    fit_steinhart_hart,
    ntc_celsius,
    ntc_ohms,
    steinhart_hart_celsius,
    steinhart_hart_ohms,
)

WORKED = [  # 100 kΩ at 25 °C, β 3950 K, by the β equation: °C, Ω
    (0, 336_206.0),
    (60, 24_862.0),
    (100, 6975.2),
    (200, 744.61),
    (250, 335.28),
    (300, 173.52),
    (350, 99.82),
]

temperatures = st.floats(-50.0, 400.0)
nominals = st.floats(1e3, 1e6)
betas = st.floats(2500.0, 5000.0)


@pytest.mark.parametrize(("celsius", "ohms"), WORKED)
def test_worked_values_of_a_usual_thermistor(celsius: float, ohms: float) -> None:
    assert ntc_ohms(celsius, nominal=100e3, beta=3950.0) == pytest.approx(ohms, rel=5e-5)
    assert ntc_celsius(ohms, nominal=100e3, beta=3950.0) == pytest.approx(celsius, abs=0.005)


@given(temperatures, nominals, betas)
@settings(max_examples=60)
def test_the_beta_equation_agrees_with_thermistor_utils(celsius: float, nominal: float, beta: float) -> None:
    library = Beta_converter.from_beta(beta, nominal)
    ohms = library.resistance(celsius)
    assert ntc_ohms(celsius, nominal=nominal, beta=beta) == pytest.approx(ohms, rel=1e-9)
    assert ntc_celsius(ohms, nominal=nominal, beta=beta) == pytest.approx(library.temperature(ohms), abs=1e-6)


POINTS = [
    ((25.0, 100e3), (150.0, 1641.9), (250.0, 226.15)),
    ((0.0, 32_650.0), (25.0, 10_000.0), (50.0, 3603.0)),
]
"""Three points of thermistors of 100 kΩ and 10 kΩ (from memory)."""


@pytest.mark.parametrize("points", POINTS)
@pytest.mark.parametrize("celsius", [-20.0, 0.0, 25.0, 60.0, 120.0, 250.0])
def test_steinhart_hart_agrees_with_thermistor_utils(
    points: tuple[tuple[float, float], ...], celsius: float
) -> None:
    library = SH_converter.from_points(points)
    coefficients = fit_steinhart_hart((points[0], points[1], points[2]))
    assert coefficients == pytest.approx((library.A, library.B, library.C), rel=1e-9)
    ohms = steinhart_hart_ohms(celsius, coefficients)
    assert ohms == pytest.approx(library.resistance(celsius), rel=1e-6)
    assert steinhart_hart_celsius(ohms, coefficients) == pytest.approx(library.temperature(ohms), abs=1e-6)


@pytest.mark.parametrize("points", POINTS)
def test_steinhart_hart_goes_through_its_three_points(points: tuple[tuple[float, float], ...]) -> None:
    """J. S. Steinhart, S. R. Hart, Deep-Sea Research 15 (1968) 497: three points make the equation."""
    coefficients = fit_steinhart_hart((points[0], points[1], points[2]))
    for celsius, ohms in points:
        assert steinhart_hart_celsius(ohms, coefficients) == pytest.approx(celsius, abs=1e-9)
        assert steinhart_hart_ohms(celsius, coefficients) == pytest.approx(ohms, rel=1e-9)
