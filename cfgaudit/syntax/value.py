"""Values: what stands to the right of the separator, as ``grammar/value.lark`` reads it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


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


@dataclass(frozen=True, slots=True)
class Number:
    """``amount`` in the base unit of its dimension: mm, mm/s, mm/s², °C, Hz, s, A, V, ohm, W, 1, deg, bit/s.

    Percent is a ratio (``80 %`` is 0.8). A bare number keeps its amount; ``unit`` is as written.
    """

    amount: float
    unit: str = ""
    dimension: Dimension = Dimension.NONE
    text: str = ""


@dataclass(frozen=True, slots=True)
class Fraction:
    """``1:3``."""

    over: float
    under: float


@dataclass(frozen=True, slots=True)
class Boolean:
    value: bool


@dataclass(frozen=True, slots=True)
class Text:
    """Anything that is nothing else; ``text`` is unquoted."""

    text: str
    quoted: bool = False


@dataclass(frozen=True, slots=True)
class Opaque:
    """A value that holds a template's placeholder: nothing may be said of it."""

    text: str


Scalar = Number | Fraction | Boolean | Text | Opaque


@dataclass(frozen=True, slots=True)
class Items:
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
