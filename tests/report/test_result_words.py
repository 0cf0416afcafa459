"""Numbers of records for people: their digits, against Python's decimal arithmetic."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cfgaudit.evidence.records.quantities import known_quantity
from cfgaudit.evidence.records.record import MeasurementKind, Result
from cfgaudit.report.result_words import amount_text, given_text, plain_text, result_text, rounded_text

ORDINARY = st.floats(1e-9, 1e14) | st.floats(-1e14, -1e-9)


def number(text: str) -> Decimal:
    return Decimal(text.replace("−", "-"))


@pytest.mark.parametrize(
    ("result", "told"),
    [
        (Result("a", 61.25, "Hz"), "61.25 Hz"),
        (Result("a", 48.562, "Hz"), "48.56 Hz"),
        (Result("a", 5812.1, "mm/s²"), "5812 mm/s²"),
        (Result("a", 12345.0, "mm/s²"), "12345 mm/s²"),
        (Result("a", 1234567.8, "mm"), "1234568 mm"),
        (Result("a", 100000.0, "mm"), "100000 mm"),
        (Result("a", 5.639e-6, "mm", 20), "0.000005639 mm (of 20)"),
        (Result("a", 0.07, "1"), "0.07"),
        (Result("a", 3.0, ""), "3"),
        (Result("a", 0.0, "mm"), "0 mm"),
        (Result("a", -0.0, "mm"), "0 mm"),
        (Result("a", -0.02, "mm"), "−0.02 mm"),
        (Result("a", 9.99996, "Hz"), "10 Hz"),
        (Result("a", 61.5, "min", 2, 0.70710678), "61.5 min (mean of 2, standard deviation 0.71 min)"),
        (Result("a", 61.5987, "min", 3, 0.45), "61.6 min (mean of 3, standard deviation 0.45 min)"),
        (Result("a", 1.8720312, "mm", 20, 0.00075), "1.87203 mm (mean of 20, standard deviation 0.00075 mm)"),
        (Result("a", 1234569.33, "", 3, 2.5), "1234569.3 (mean of 3, standard deviation 2.5)"),
        (Result("a", 12345.678, "s", 3, 250.0), "12346 s (mean of 3, standard deviation 250 s)"),
        (Result("a", 61.2, "s", 3, 0.0), "61.2 s (of 3, all alike)"),
        (Result("a", 0.3, "s", 3, 5.6e-17), "0.3 s (mean of 3, standard deviation 5.6e-17 s)"),
        (Result("a", 0.0025, "mm", 20), "0.0025 mm (of 20)"),
        (Result("a", 1e300, "m"), "1e+300 m"),
        (Result("a", 2.5e-12, "m"), "2.5e-12 m"),
    ],
)
def test_amounts(result: Result, told: str) -> None:
    """As many digits as the spread leaves them, else four; no exponents for ordinary sizes."""
    assert amount_text(result) == told
    assert result_text(result) == f"a {told}"


def test_a_single_number_stays_as_it_was_given() -> None:
    assert given_text(Result("print-time", 1234567.25, "s")) == "1234567.25 s"
    assert given_text(Result("print-time", 61.5, "min", 2, 0.7071)) == amount_text(
        Result("print-time", 61.5, "min", 2, 0.7071)
    )


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_no_digit_is_lost(value: float) -> None:
    assert float(number(plain_text(value))) == value


@given(ORDINARY, st.integers(1, 9))
def test_rounding(value: float, digits: int) -> None:
    """Off by at most half of the last digit kept, or by less than 1 where all decimals are dropped."""
    told = rounded_text(value, digits)
    assert "e" not in told
    assert told == told.rstrip("0") or "." not in told
    exact = Decimal(repr(value))
    last = min(Decimal(1), Decimal(10) ** (exact.adjusted() - digits + 1))
    assert abs(number(told) - exact) <= last / 2


@given(
    st.floats(allow_nan=False, allow_infinity=False),
    st.integers(1, 9),
    st.none() | st.floats(0, allow_infinity=False),
)
def test_any_number(value: float, samples: int, spread: float | None) -> None:
    for told in (amount_text(Result("a", value, "", samples, spread)), plain_text(value)):
        assert "nan" not in told
        assert "inf" not in told


@pytest.mark.parametrize(
    ("kind", "result", "told"),
    [
        ("resonance", Result("remaining vibration", 0.12554, "1"), "left by the configured shaper 12.6 %"),
        ("resonance", Result("remaining vibration", 0.07, "1"), "left by the configured shaper 7 %"),
        ("repeatability", Result("mean", 1.8720312, "mm", 20, 0.00075), "mean 1.87203 mm of 20"),
        ("repeatability", Result("standard deviation", 0.00075, "mm", 20), "standard deviation 0.75 µm"),
        ("repeatability", Result("standard deviation", 0.0007478, "mm", 20), "standard deviation 0.748 µm"),
        ("repeatability", Result("drift", -5.639e-6, "mm", 20), "drift −0.00564 µm"),
        ("repeatability", Result("mean", 0.0042312, "mm", 20, 0.00075), "mean 4.23 µm of 20"),
        ("repeatability", Result("range", 0.0125, "mm", 20), "range 0.0125 mm"),
        ("repeatability", Result("drift", 0.0, "mm", 20), "drift 0 mm"),
        ("heatup", Result("phase margin", 92.74, "deg"), "phase margin 92.74°"),
        ("repeatability", Result("range", 0.0025, "mm", 20), "range 2.5 µm"),
        ("resonance", Result("damping", 0.07, "1"), "damping 0.07"),
        ("value", Result("mean", 0.005, "mm"), "mean 0.005 mm"),
        ("value", Result("mean", 1.5, "mm", 2, 0.5), "mean 1.5 mm (mean of 2, standard deviation 0.5 mm)"),
    ],
)
def test_what_is_known_is_told_in_fewer_words(kind: str, result: Result, told: str) -> None:
    """In the units that a comparison shows; what a builder gave stays in the builder's own."""
    assert result_text(result, known_quantity(MeasurementKind(kind), result.name)) == told
