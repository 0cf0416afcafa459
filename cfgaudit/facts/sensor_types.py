"""Kinds of sensors: their curves, and the types of the trade that they belong to (``sensor_types.toml``)."""

from __future__ import annotations

from functools import cache, lru_cache
from pathlib import Path
from typing import NamedTuple

from cfgaudit.own_toml import read_own_toml
from cfgaudit.physics.curves import Curve, ntc_curve, platinum_curve, steinhart_hart_curve
from cfgaudit.syntax.sensor import SensorKind

TABLE = Path(__file__).with_name("sensor_types.toml")
REMEMBERED = 256
"""Kinds whose type and curve are kept: more than a machine has."""
LEAST_OHMS, MOST_OHMS = 10.0, 1e8
LEAST_BETA, MOST_BETA = 1000.0, 10_000.0
"""K. What thermistors have is well within (common practice, no source)."""


class SensorType(NamedTuple):
    """``highest``: °C that the type stands for long, by ``source``. Ohms and β are None where any will do."""

    name: str
    family: str
    highest: float
    source: str
    ohms: float | None = None
    beta: float | None = None
    letter: str = ""

    def fits(self, kind: SensorKind) -> bool:
        """Whether the kind has everything that the type states."""
        return (
            self.family == kind.family
            and self.ohms in (None, kind.ohms)
            and self.beta in (None, kind.beta)
            and self.letter in ("", kind.letter)
        )

    @property
    def stated(self) -> int:
        """How much the type states."""
        return (self.ohms is not None) + (self.beta is not None) + bool(self.letter)


@cache
def sensor_types() -> tuple[SensorType, ...]:
    """Every type, those that state most first."""
    entries = read_own_toml(TABLE)["type"]
    types = (SensorType(**{**entry, "highest": float(entry["highest"])}) for entry in entries)
    return tuple(sorted(types, key=lambda one: -one.stated))


@lru_cache(maxsize=REMEMBERED)
def type_of(kind: SensorKind) -> SensorType | None:
    """The type that a kind belongs to; None for a thermocouple of a letter that the table has not."""
    return next((one for one in sensor_types() if one.fits(kind)), None)


@lru_cache(maxsize=REMEMBERED)
def curve_of(kind: SensorKind) -> Curve | None:
    """The curve that a kind has; None where the text gives too little, and for thermocouples, whose voltage
    an amplifier reads and no divider."""
    try:
        if kind.family == "platinum" and kind.ohms is not None:
            return platinum_curve(nominal=kind.ohms)
        if kind.ohms is not None and kind.beta is not None and _is_usual(kind.ohms, kind.beta):
            return ntc_curve(nominal=kind.ohms, beta=kind.beta)
        if len(kind.points) == 3:
            first, second, third = kind.points
            return steinhart_hart_curve((first, second, third))
    except ValueError:  # points that no thermistor has
        return None
    return None


def _is_usual(ohms: float, beta: float) -> bool:
    """Whether any thermistor of the trade can have these: what is far off counts in another unit."""
    return LEAST_OHMS <= ohms <= MOST_OHMS and LEAST_BETA <= beta <= MOST_BETA


def kind_text(kind: SensorKind) -> str:
    """The kind in the words of the trade: ``NTC 100k B3950``, ``Pt1000``, ``thermocouple K``."""
    match kind.family:
        case "platinum":
            return f"Pt{kind.ohms:.0f}"
        case "thermocouple":
            return f"thermocouple {kind.letter}"
    ohms = "" if kind.ohms is None else f" {_short(kind.ohms)}"
    beta = "" if kind.beta is None else f" B{kind.beta:.0f}"
    return f"NTC{ohms}{beta}"


def _short(ohms: float) -> str:
    return f"{ohms / 1000:g}k" if ohms >= 1000 else f"{ohms:g} Ω"
