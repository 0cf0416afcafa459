"""Values: what stands to the right of the separator, as ``grammar/value.lark`` reads it."""

from __future__ import annotations

from enum import StrEnum
from typing import NamedTuple


class Dimension(StrEnum):
    """What a unit measures. A bare number has none."""

    NONE = ""
    LENGTH = "length"
    SPEED = "speed"
    ACCELERATION = "acceleration"
    TEMPERATURE = "temperature"
    FREQUENCY = "frequency"
    TIME = "time"
    CURRENT = "current"
    VOLTAGE = "voltage"
    RESISTANCE = "resistance"
    POWER = "power"
    RATIO = "ratio"
    ANGLE = "angle"
    BITRATE = "bitrate"
    TEMPERATURE_RATE = "temperature rate"


class Number(NamedTuple):
    """``amount`` in the base unit of its dimension: mm, mm/s, mm/s², °C, Hz, s, A, V, ohm, W, 1, deg, bit/s.

    Percent is a ratio (``80 %`` is 0.8). A bare number keeps its amount; ``unit`` is as written.
    """

    amount: float
    unit: str = ""
    dimension: Dimension = Dimension.NONE
    text: str = ""


class Fraction(NamedTuple):
    """``1:3``."""

    over: float
    under: float


class Boolean(NamedTuple):
    value: bool


class Text(NamedTuple):
    """Anything that is nothing else; ``text`` is unquoted."""

    text: str
    quoted: bool = False


class Opaque(NamedTuple):
    """A value that holds a template's placeholder: nothing may be said of it."""

    text: str


Scalar = Number | Fraction | Boolean | Text | Opaque


class Items(NamedTuple):
    """A list, or a list of lists (one a line): ``10, 20``, ``10 x 20``, ``0 .. 420``.

    ``joiner`` is the mark between the items as the grammar names it: ``comma``, ``cross``, ``range``,
    ``line``, ``space`` (numbers only).
    """

    items: tuple[Value, ...]
    joiner: str


Value = Scalar | Items


def numbers(value: Value) -> tuple[float, ...]:
    """Every amount in a value, in order; empty if anything in it is no number."""
    if isinstance(value, Number):
        return (value.amount,)
    if isinstance(value, Items):
        parts = [numbers(item) for item in value.items]
        return tuple(amount for part in parts for amount in part) if all(parts) else ()
    return ()
