"""A sensor between ground and a pull-up resistor, read by an analogue-to-digital converter (ADC).

The converter compares the voltage on the sensor with the one that feeds the pull-up: with n bits its count
is 2ⁿ R ÷ (R + R_pull-up), from Ohm's law. Resistances in Ω, temperatures in °C.
"""

from __future__ import annotations


def count_of_ohms(ohms: float, *, pullup: float, bits: int) -> float:
    """The count that the converter gives for a sensor's resistance, before it is rounded: 0 to 2ⁿ.

    Raises ValueError unless the pull-up is above 0 and the resistance not below 0.
    """
    return 2.0**bits * _share(ohms, pullup)


def ohms_of_count(count: float, *, pullup: float, bits: int) -> float:
    """The resistance that a count stands for: R_pull-up c ÷ (2ⁿ − c).

    Raises ValueError unless the count is from 0 to less than 2ⁿ.
    """
    full = 2.0**bits
    if not 0 <= count < full:
        raise ValueError(f"{bits} bits count from 0 to {full - 1:g}, not to {count:g}")
    return pullup * count / (full - count)


def open_ohms(*, pullup: float, bits: int) -> float:
    """What an unplugged sensor seems to have: the resistance at full scale less one count."""
    return ohms_of_count(2.0**bits - 1, pullup=pullup, bits=bits)


def short_ohms(*, pullup: float, bits: int) -> float:
    """What a shorted sensor seems to have: the resistance at one count."""
    return ohms_of_count(1, pullup=pullup, bits=bits)


def degrees_per_count(ohms: float, slope: float, *, pullup: float, bits: int) -> float:
    """°C that one count stands for: 1 ÷ (2ⁿ |dR/dT| R_pull-up ÷ (R + R_pull-up)²).

    ``slope`` is dR/dT in Ω/K at the temperature at which the sensor has ``ohms``. Infinite where the
    resistance does not change.
    """
    _share(ohms, pullup)
    counts_per_degree = 2.0**bits * abs(slope) * pullup / (ohms + pullup) ** 2
    return 1.0 / counts_per_degree if counts_per_degree > 0 else float("inf")


def _share(ohms: float, pullup: float) -> float:
    if not (pullup > 0 and ohms >= 0):
        raise ValueError(
            f"a divider needs a pull-up above 0 and a sensor not below, not {pullup:g} and {ohms:g}"
        )
    return ohms / (ohms + pullup)
