"""Industrial platinum against the table of IEC 60751, and against the library rtd-sensor."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rtd_sensor import pt100, pt500, pt1000

from cfgaudit.physics.sensors import platinum_celsius, platinum_ohms, platinum_slope

PT100 = [  # IEC 60751, table of Pt100: °C, Ω
    (-200, 18.52),
    (-100, 60.26),
    (-50, 80.31),
    (0, 100.00),
    (100, 138.51),
    (200, 175.86),
    (300, 212.05),
    (400, 247.09),
    (500, 280.98),
    (850, 390.48),
]
LIBRARY = {100.0: pt100, 500.0: pt500, 1000.0: pt1000}

in_range = st.floats(-200.0, 850.0)
nominals = st.sampled_from(sorted(LIBRARY))


@pytest.mark.parametrize(("celsius", "ohms"), PT100)
def test_the_table_of_the_standard(celsius: float, ohms: float) -> None:
    assert round(platinum_ohms(celsius, nominal=100.0), 2) == pytest.approx(ohms, abs=0.0051)


@pytest.mark.parametrize(("celsius", "ohms"), PT100)
def test_the_table_read_backwards(celsius: float, ohms: float) -> None:
    """A hundredth of an ohm, the last digit of the table, is 0.024 °C where the curve is steepest."""
    held = min(max(ohms, 18.52008), 390.481125)
    assert platinum_celsius(held, nominal=100.0) == pytest.approx(celsius, abs=0.02)


@given(in_range, nominals)
@settings(max_examples=60)
def test_resistance_agrees_with_rtd_sensor(celsius: float, nominal: float) -> None:
    expected = LIBRARY[nominal].celsius_to_resistance(celsius)
    assert platinum_ohms(celsius, nominal=nominal) == pytest.approx(expected, rel=1e-12)


@given(in_range, nominals)
@settings(max_examples=60)
def test_temperature_agrees_with_rtd_sensor(celsius: float, nominal: float) -> None:
    ohms = LIBRARY[nominal].celsius_to_resistance(celsius)
    expected = LIBRARY[nominal].resistance_to_celsius(ohms)
    assert platinum_celsius(ohms, nominal=nominal) == pytest.approx(expected, abs=1e-6)


@given(in_range)
@settings(max_examples=60)
def test_slope_agrees_with_rtd_sensor(celsius: float) -> None:
    expected = pt100.resistance_sensitivity_ohms_per_celsius(celsius)
    assert platinum_slope(celsius, nominal=100.0) == pytest.approx(expected, rel=1e-9)
