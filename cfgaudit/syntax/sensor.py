"""Kinds of temperature sensors, as ``grammar/sensor.lark`` reads them."""

from __future__ import annotations

from typing import Literal, NamedTuple

Family = Literal["thermistor", "platinum", "thermocouple"]


class SensorKind(NamedTuple):
    """What a name such as ``NTC 100k B3950`` or ``Pt1000`` says of a sensor. Nothing is added to it.

    ``ohms`` are those of a thermistor at 25 °C, of platinum at 0 °C; ``beta`` is in K; ``points`` are three
    pairs of °C and Ω; ``letter`` is a thermocouple's type, in capitals.
    """

    family: Family
    ohms: float | None = None
    beta: float | None = None
    points: tuple[tuple[float, float], ...] = ()
    letter: str = ""
