"""Results of measurements in words, with no more digits than they are worth."""

from __future__ import annotations

from decimal import Decimal
from math import floor, log10

from cfgaudit.evidence.records.quantities import KnownQuantity
from cfgaudit.evidence.records.record import Result

DIGITS = 4
"""Significant digits of what was computed once."""
OF_SHARE = 3
"""Significant digits of a percentage."""
OF_SPREAD = 2
"""Significant digits of a standard deviation; its mean ends where it ends. Common practice, no source."""
DIGITS_AT_MOST = 9
"""Of a mean, however little its samples spread."""
FINE = 0.01
"""mm below which a length is told in µm."""
MICROMETRES = 1000.0
MICROMETRE = "µm"
OF_FINE = 3
"""Significant digits below one of these: the next is an atom wide."""
DEGREE = "°"
PLAIN = (Decimal("1e-9"), Decimal("1e15"))
"""Sizes that are written without an exponent."""


def in_shown_unit(result: Result) -> Result:
    """A length that would be a row of zeros in µm, an angle with its sign. Only what is shown is scaled."""
    if result.unit == "mm" and 0 < abs(result.value) < FINE:
        spread = None if result.spread is None else MICROMETRES * result.spread
        return result._replace(value=MICROMETRES * result.value, unit=MICROMETRE, spread=spread)
    return result._replace(unit=DEGREE) if result.unit == "deg" else result


def result_text(result: Result, known: KnownQuantity | None = None) -> str:
    """``natural frequency 61.3 Hz``; of several samples also their spread and number.

    ``known`` says what people call it, and what other results of its record tell already.
    """
    if known is None:
        return f"{result.name} {amount_text(result)}"
    name, result = known.shown_as or result.name, in_shown_unit(result)
    if known.per_cent:
        return f"{name} {_with_unit(rounded_text(100.0 * result.value, OF_SHARE), '%')}"
    told = _with_unit(rounded_text(result.value, _digits(result)), result.unit)
    if "samples" in known.apart:
        return f"{name} {told}"
    if "spread" in known.apart and result.samples > 1:
        return f"{name} {told} of {result.samples}"
    return f"{name} {amount_text(result)}"


def amount_text(result: Result) -> str:
    """``61.3 Hz``; of several samples also their spread and number."""
    told = _with_unit(rounded_text(result.value, _digits(result)), result.unit)
    if result.samples == 1:
        return told
    if not result.spread:
        return f"{told} (of {result.samples}{'' if result.spread is None else ', all alike'})"
    spread = _with_unit(rounded_text(result.spread, OF_SPREAD), result.unit)
    return f"{told} (mean of {result.samples}, standard deviation {spread})"


def given_text(result: Result) -> str:
    """As `amount_text`, but a single number with all the digits that the builder gave."""
    return _with_unit(plain_text(result.value), result.unit) if result.samples == 1 else amount_text(result)


def plain_text(value: float) -> str:
    """All digits of a number: ``1234567.5``, ``312``."""
    return _written(Decimal(repr(value)))


def rounded_text(value: float, digits: int) -> str:
    """A number with at most so many significant digits; what stands before its point is always whole."""
    number = Decimal(repr(value))
    if PLAIN[0] <= abs(number) < PLAIN[1]:
        return _written(round(number, max(digits - 1 - _exponent(value), 0)))
    return _written(Decimal(f"{value:.{digits - 1}e}"))


def _with_unit(number: str, unit: str) -> str:
    return f"{number}{unit}" if unit == DEGREE else number if unit in ("", "1") else f"{number} {unit}"


def _digits(result: Result) -> int:
    """How many significant digits a value is worth: those that do not lie below its spread."""
    if result.samples == 1 or not result.spread:
        return OF_FINE if result.unit == MICROMETRE and abs(result.value) < 1.0 else DIGITS
    digits = _exponent(result.value) - _exponent(result.spread) + OF_SPREAD
    return min(max(digits, OF_SPREAD), DIGITS_AT_MOST)


def _written(number: Decimal) -> str:
    """Without zeros at its end, and with a true minus."""
    size = abs(number).normalize()
    plain = not size or PLAIN[0] <= size < PLAIN[1]
    told = f"{size:f}" if plain else f"{size:g}"
    return f"−{told}" if number < 0 else told


def _exponent(value: float) -> int:
    """The power of ten of a number's first digit; 0 for 0."""
    return floor(log10(abs(value))) if value else 0
