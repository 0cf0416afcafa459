"""Temperatures that can be compared."""

from __future__ import annotations

from cfgaudit.machine.model import Meaning
from cfgaudit.syntax.value import Dimension, Number

KELVIN = ("k", "kelvin")


def celsius(meaning: Meaning | None) -> float | None:
    """The temperature in °C; a bare number is one.

    None where there is no single number, where its unit measures something else, and in kelvin, which
    people write for differences.
    """
    value = meaning.value if meaning is not None else None
    if meaning is None or not isinstance(value, Number) or value.unit.casefold() in KELVIN:
        return None
    return meaning.amount if value.dimension in (Dimension.NONE, Dimension.TEMPERATURE) else None
