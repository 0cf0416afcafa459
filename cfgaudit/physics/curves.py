"""The curve of one sensor as a value, and what a converter makes of it. Ohms and °C."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import NamedTuple

from cfgaudit.physics import divider, sensors

Points = tuple[tuple[float, float], tuple[float, float], tuple[float, float]]
"""Three pairs of °C and Ω."""

COLDEST = -150.0
"""°C. Colder, no thermistor is used, and the laws, which have no end of their own, give absurd ohms."""


class Curve(NamedTuple):
    """How one kind of sensor follows the temperature, from ``lowest`` to ``highest`` °C.

    ``celsius`` gives None where no temperature has a resistance; ``slope`` is dR/dT in Ω/K; ``rising`` says
    whether the resistance grows with heat. ``formula`` and ``source`` name the law.
    """

    ohms: Callable[[float], float]
    celsius: Callable[[float], float | None]
    slope: Callable[[float], float]
    lowest: float
    highest: float
    rising: bool
    formula: str
    source: str
    constants: tuple[tuple[str, float, str], ...] = ()
    """What the formula's letters stand for: letter, number, unit."""

    def holds(self, celsius: float) -> bool:
        """Whether the law speaks of this temperature."""
        return self.lowest <= celsius <= self.highest

    def terms(self, celsius: float) -> tuple[tuple[str, float, str], ...]:
        """The constants, and the temperature as the formula has it."""
        kelvin = ("T", celsius + sensors.ZERO, "K")
        return (*self.constants, ("t", celsius, "°C") if self.rising else kelvin)


def ntc_curve(*, nominal: float, beta: float) -> Curve:
    """A thermistor by resistance at 25 °C in Ω and its β in K. Raises ValueError if one is not positive."""
    if not (nominal > 0 and beta > 0):
        raise ValueError(f"a thermistor has ohms and a β above 0, not {nominal:g} and {beta:g}")
    given = {"nominal": nominal, "beta": beta}
    return Curve(
        partial(sensors.ntc_ohms, **given),
        partial(sensors.ntc_celsius, **given),
        partial(sensors.ntc_slope, **given),
        COLDEST,
        float("inf"),
        rising=False,
        formula="R₂₅ exp(β (1/T − 1/298.15 K))",
        source="exponential law of thermistors, with one β for all temperatures",
        constants=(("R₂₅", nominal, "Ω"), ("β", beta, "K")),
    )


def steinhart_hart_curve(points: Points) -> Curve:
    """A thermistor by three points. Raises ValueError if no thermistor has these."""
    coefficients = sensors.fit_steinhart_hart(points)
    sensors.steinhart_hart_ohms(sensors.ROOM, coefficients)
    return Curve(
        partial(sensors.steinhart_hart_ohms, coefficients=coefficients),
        partial(sensors.steinhart_hart_celsius, coefficients=coefficients),
        partial(sensors.steinhart_hart_slope, coefficients=coefficients),
        COLDEST,
        float("inf"),
        rising=False,
        formula="1/T = A + B ln R + C (ln R)³ through the three points",
        source="J. S. Steinhart, S. R. Hart, Deep-Sea Research 15 (1968) 497",
        constants=tuple(zip("ABC", coefficients, ("1/K",) * 3, strict=True)),
    )


def platinum_curve(*, nominal: float) -> Curve:
    """Industrial platinum by its resistance at 0 °C in Ω. Raises ValueError unless that is above 0."""
    if not nominal > 0:
        raise ValueError(f"a platinum sensor has ohms above 0, not {nominal:g}")
    return Curve(
        partial(sensors.platinum_ohms, nominal=nominal),
        partial(sensors.platinum_celsius, nominal=nominal),
        partial(sensors.platinum_slope, nominal=nominal),
        sensors.PLATINUM_LOWEST,
        sensors.PLATINUM_HIGHEST,
        rising=True,
        formula="R₀ (1 + A t + B t² + C (t − 100) t³ below 0 °C)",
        source="IEC 60751",
        constants=(
            ("R₀", nominal, "Ω"),
            ("A", sensors.PLATINUM_A, "1/°C"),
            ("B", sensors.PLATINUM_B, "1/°C²"),
            ("C", sensors.PLATINUM_C, "1/°C⁴"),
        ),
    )


def seen_at(curve: Curve, ohms: float) -> float | None:
    """The temperature in °C that a resistance seems to mean; beyond the end of a law with ends, that end.

    None where a law without end gives none.
    """
    celsius = curve.celsius(ohms)
    if celsius is not None or curve.highest == float("inf"):
        return celsius
    hotter = (ohms > curve.ohms(curve.lowest)) is curve.rising
    return curve.highest if hotter else curve.lowest


def step_at(curve: Curve, celsius: float, *, pullup: float, bits: int) -> float:
    """°C for one count of the converter at a temperature. Raises ValueError outside the curve."""
    return divider.degrees_per_count(curve.ohms(celsius), curve.slope(celsius), pullup=pullup, bits=bits)


def worst_step(curve: Curve, low: float, high: float, *, pullup: float, bits: int) -> tuple[float, float]:
    """The most °C for one count between two temperatures, and the temperature at which it is.

    The finest step lies where sensor and pull-up are about equal; the step grows to both sides of it, so
    the worst one is at an end. Raises ValueError outside the curve.
    """
    return max((step_at(curve, at, pullup=pullup, bits=bits), at) for at in (low, high))
