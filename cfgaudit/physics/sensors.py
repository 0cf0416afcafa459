"""Temperature sensors: resistance and temperature. Ohms and °C; inside the formulas, kelvin."""

from __future__ import annotations

from math import exp, isfinite, log, sqrt

ZERO = 273.15
"""0 °C in kelvin (SI brochure, 9th edition)."""
ROOM = 25.0
"""The temperature in °C at which the trade states what a thermistor has."""

PLATINUM_A, PLATINUM_B, PLATINUM_C = 3.9083e-3, -5.775e-7, -4.183e-12
"""IEC 60751, of industrial platinum: per °C, per °C², per °C⁴."""
PLATINUM_LOWEST, PLATINUM_HIGHEST = -200.0, 850.0
"""The ends of the standard's formula in °C."""

MOST_STEPS, CLOSE = 100, 1e-13
"""Of Newton's method: steps at the most, and the change that ends it."""

Coefficients = tuple[float, float, float]
"""A, B and C of the Steinhart–Hart equation, in 1/K, for ohms."""


def ntc_ohms(celsius: float, *, nominal: float, beta: float) -> float:
    """Resistance of a thermistor in Ω: R₂₅ exp(β (1/T − 1/298.15 K)).

    ``nominal`` is its resistance at 25 °C in Ω, ``beta`` its constant in K: the exponential law of
    semiconductors, with one constant for the whole range. Raises ValueError at or below absolute zero.
    """
    return nominal * exp(beta * (1.0 / _kelvin(celsius) - 1.0 / _kelvin(ROOM)))


def ntc_celsius(ohms: float, *, nominal: float, beta: float) -> float | None:
    """Temperature in °C of a thermistor with this resistance in Ω, the inverse of `ntc_ohms`.

    None for a resistance below the one that the law gives for endless heat. Raises ValueError unless it is
    above 0.
    """
    return _from_inverse(1.0 / _kelvin(ROOM) + log(_positive(ohms) / nominal) / beta)


def ntc_slope(celsius: float, *, nominal: float, beta: float) -> float:
    """How the resistance of a thermistor changes, Ω/K: −R β / T²."""
    return -ntc_ohms(celsius, nominal=nominal, beta=beta) * beta / _kelvin(celsius) ** 2


def fit_steinhart_hart(
    points: tuple[tuple[float, float], tuple[float, float], tuple[float, float]],
) -> Coefficients:
    """A, B and C of 1/T = A + B ln R + C (ln R)³ through three points (°C, Ω).

    J. S. Steinhart, S. R. Hart, Deep-Sea Research 15 (1968) 497. The three linear equations are solved by
    divided differences. Raises ValueError if two points share a resistance.
    """
    (y1, l1), (y2, l2), (y3, l3) = ((1.0 / _kelvin(at), log(_positive(ohms))) for at, ohms in points)
    if len({l1, l2, l3}) < 3:
        raise ValueError("three different resistances are needed")
    slope12, slope13 = (y2 - y1) / (l2 - l1), (y3 - y1) / (l3 - l1)
    total = l1 + l2 + l3
    if total == 0:
        raise ValueError("the logarithms of the resistances must not add up to 0")
    c = (slope13 - slope12) / (l3 - l2) / total
    b = slope12 - c * (l1**2 + l1 * l2 + l2**2)
    return y1 - (b + c * l1**2) * l1, b, c


def steinhart_hart_celsius(ohms: float, coefficients: Coefficients) -> float | None:
    """Temperature in °C by the Steinhart–Hart equation; None where it gives none above absolute zero.

    Raises ValueError unless the resistance is above 0.
    """
    a, b, c = coefficients
    logarithm = log(_positive(ohms))
    return _from_inverse(a + b * logarithm + c * logarithm**3)


def steinhart_hart_ohms(celsius: float, coefficients: Coefficients) -> float:
    """Resistance in Ω at a temperature: the root of the cubic in ln R, by Newton's method.

    It begins at the root of the linear part, from where every step goes towards the root of the cubic.
    Raises ValueError where the curve does not fall, as that of a thermistor does.
    """
    a, b, c = coefficients
    wanted = 1.0 / _kelvin(celsius) - a
    logarithm = wanted / b if b > 0 else 0.0
    for _ in range(MOST_STEPS):
        slope = b + 3.0 * c * logarithm**2
        if slope <= 0:
            raise ValueError("no thermistor's coefficients: its resistance must fall with heat")
        step = (b * logarithm + c * logarithm**3 - wanted) / slope
        logarithm -= step
        if abs(step) < CLOSE:
            break
    return exp(logarithm)


def steinhart_hart_slope(celsius: float, coefficients: Coefficients) -> float:
    """How the resistance changes, Ω/K: −R / (T² (B + 3 C (ln R)²))."""
    _, b, c = coefficients
    ohms = steinhart_hart_ohms(celsius, coefficients)
    return -ohms / (_kelvin(celsius) ** 2 * (b + 3.0 * c * log(ohms) ** 2))


def platinum_ohms(celsius: float, *, nominal: float) -> float:
    """Resistance in Ω of industrial platinum: R₀(1 + At + Bt² + C(t − 100)t³), the last below 0 °C only.

    IEC 60751; ``nominal`` is R₀, the resistance at 0 °C. Raises ValueError outside −200 to 850 °C.
    """
    _in_standard(celsius)
    share = 1.0 + PLATINUM_A * celsius + PLATINUM_B * celsius**2
    if celsius < 0:
        share += PLATINUM_C * (celsius - 100.0) * celsius**3
    return nominal * share


def platinum_slope(celsius: float, *, nominal: float) -> float:
    """How the resistance of industrial platinum changes, Ω/K. Raises ValueError outside −200 to 850 °C."""
    _in_standard(celsius)
    slope = PLATINUM_A + 2.0 * PLATINUM_B * celsius
    if celsius < 0:
        slope += PLATINUM_C * (4.0 * celsius - 300.0) * celsius**2
    return nominal * slope


def platinum_celsius(ohms: float, *, nominal: float) -> float | None:
    """Temperature in °C of industrial platinum with this resistance in Ω, the inverse of `platinum_ohms`.

    From 0 °C up the root of the square; below it refined by Newton's method, which the nearly straight
    curve makes exact in a few steps. None outside the standard's −200 to 850 °C.
    """
    low = platinum_ohms(PLATINUM_LOWEST, nominal=nominal)
    high = platinum_ohms(PLATINUM_HIGHEST, nominal=nominal)
    if not low <= ohms <= high:
        return None
    share = ohms / nominal
    celsius = (-PLATINUM_A + sqrt(PLATINUM_A**2 - 4.0 * PLATINUM_B * (1.0 - share))) / (2.0 * PLATINUM_B)
    if celsius >= 0:
        return min(celsius, PLATINUM_HIGHEST)
    for _ in range(4):
        celsius = max(celsius, PLATINUM_LOWEST)
        celsius -= (platinum_ohms(celsius, nominal=nominal) - ohms) / platinum_slope(celsius, nominal=nominal)
    return max(celsius, PLATINUM_LOWEST)


def _in_standard(celsius: float) -> None:
    if not PLATINUM_LOWEST <= celsius <= PLATINUM_HIGHEST:
        raise ValueError(f"platinum is defined from −200 to 850 °C, not at {celsius:g} °C")


def _kelvin(celsius: float) -> float:
    if not celsius > -ZERO:
        raise ValueError(f"nothing is as cold as {celsius:g} °C")
    return celsius + ZERO


def _from_inverse(inverse: float) -> float | None:
    """°C from 1/T; None where the temperature would have no end."""
    return 1.0 / inverse - ZERO if inverse > 0 and isfinite(1.0 / inverse) else None


def _positive(ohms: float) -> float:
    if not ohms > 0:
        raise ValueError(f"the resistance must be above 0, not {ohms:g}")
    return ohms
