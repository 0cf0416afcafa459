"""Whether a value has the shape and the unit that a role asks for."""

from __future__ import annotations

from collections.abc import Callable
from enum import IntEnum

from cfgaudit.syntax.read_pin import is_chip_pin, read_pin
from cfgaudit.syntax.units import amount_as
from cfgaudit.syntax.value import Boolean, Dimension, Fraction, Items, Number, Opaque, Text, Value, numbers
from cfgaudit.vocabulary.catalogue import RoleSpec

Resolves = Callable[[str], frozenset[str]]
"""A text to the kinds of the parts (or ``alias``) that have this name; empty where nothing has."""


class Fit(IntEnum):
    """How well a value fits a role."""

    NO = 0
    WEAK = 1
    GOOD = 2
    STATED = 3
    """A unit says the role's own dimension."""


ALIKE = {
    (Dimension.TEMPERATURE_RATE, Dimension.TEMPERATURE),
    (Dimension.FREQUENCY, Dimension.BITRATE),
    (Dimension.BITRATE, Dimension.FREQUENCY),
}
"""Written dimensions that stand for another: a rise in kelvin per second, a bus at so many hertz."""


def fit(role: str, text: str, value: Value, spec: RoleSpec, resolves: Resolves) -> Fit:
    """How well a value fits a role; ``resolves`` tells what kinds of parts have a name."""
    if isinstance(value, Opaque):
        return Fit.GOOD
    if not text.strip():
        return Fit.WEAK
    if spec.shape == "name":
        return _name(role.partition(".")[2], text, value, resolves)
    return SHAPES[spec.shape](text, value, spec, resolves)


def _pin(text: str, value: Value, spec: RoleSpec, resolves: Resolves) -> Fit:
    first = first_piece(text)
    if is_chip_pin(first):
        return Fit.STATED
    if isinstance(value, (Boolean, Fraction)) or (isinstance(value, Number) and value.unit):
        return Fit.NO
    if isinstance(value, Number):
        return Fit.WEAK
    pin = read_pin(first)
    if pin is None:
        return Fit.NO
    named = resolves(first)
    if named - {"alias"} and not pin.board:
        return Fit.NO  # a part of this name is meant
    return Fit.GOOD if pin.board or pin.on_chip or named else Fit.WEAK


def first_piece(text: str) -> str:
    """The first item of a list, by comma or line."""
    return text.partition("\n")[0].partition(",")[0].strip()


def _number(text: str, value: Value, spec: RoleSpec, resolves: Resolves) -> Fit:
    if isinstance(value, Number):
        return _dimension(value, spec)
    return _several(value, spec) if isinstance(value, Items) and value.items else Fit.NO


def _several(value: Items, spec: RoleSpec) -> Fit:
    """Several numbers where one is asked for: both ends of a range, or one with further pieces after it."""
    ends = [_dimension(item, spec) for item in value.items if isinstance(item, Number)]
    if len(ends) == len(value.items):
        return min(ends) if value.joiner == "range" else min(Fit.WEAK, *ends)
    first = value.items[0]
    return _dimension(first, spec) if isinstance(first, Number) else Fit.NO


def _dimension(number: Number, spec: RoleSpec) -> Fit:
    if number.dimension is Dimension.NONE:
        return Fit.WEAK if _unlikely(number.amount, spec.dimension) else Fit.GOOD
    if spec.dimension is Dimension.NONE:
        return Fit.GOOD if number.dimension is Dimension.ANGLE else Fit.WEAK
    if number.dimension is spec.dimension:
        return Fit.STATED
    alike = (number.dimension, spec.dimension) in ALIKE or amount_as(number, spec.dimension) is not None
    return Fit.GOOD if alike else Fit.NO


def _unlikely(amount: float, wanted: Dimension) -> bool:
    """A bare share of more than one, or less than a watt or a hertz: another role of the words is meant."""
    if wanted is Dimension.RATIO:
        return amount > 1
    return wanted in (Dimension.POWER, Dimension.FREQUENCY) and amount < 1


def _numbers(text: str, value: Value, spec: RoleSpec, resolves: Resolves) -> Fit:
    if isinstance(value, Number):
        return _dimension(value, spec)
    return Fit.GOOD if numbers(value) else Fit.NO


def _ratio(text: str, value: Value, spec: RoleSpec, resolves: Resolves) -> Fit:
    if isinstance(value, Fraction):
        return Fit.STATED
    if isinstance(value, Items):
        return Fit.GOOD
    return _number(text, value, spec, resolves)


def _text(text: str, value: Value, spec: RoleSpec, resolves: Resolves) -> Fit:
    if is_chip_pin(text) or "alias" in resolves(text):
        return Fit.NO
    if isinstance(value, (Number, Fraction)):
        return Fit.WEAK if isinstance(value, Number) and not value.unit and value.amount >= 100 else Fit.NO
    return Fit.WEAK if isinstance(value, Boolean) else Fit.GOOD


def _name(wanted: str, text: str, value: Value, resolves: Resolves) -> Fit:
    kinds = resolves(text) or resolves(first_piece(text))
    if kinds - {"alias"}:
        return Fit.STATED if wanted in kinds else Fit.GOOD
    if (
        kinds
        or numbers(value)
        or is_chip_pin(first_piece(text))
        or isinstance(value, (Number, Fraction, Boolean))
    ):
        return Fit.NO
    return Fit.WEAK


def _body(text: str, value: Value, spec: RoleSpec, resolves: Resolves) -> Fit:
    if isinstance(value, (Number, Boolean, Fraction)):
        return Fit.NO
    return Fit.STATED if "\n" in text else Fit.GOOD if isinstance(value, (Text, Items)) else Fit.WEAK


def _any(text: str, value: Value, spec: RoleSpec, resolves: Resolves) -> Fit:
    return Fit.GOOD


def _side(text: str, value: Value, spec: RoleSpec, resolves: Resolves) -> Fit:
    """One of two sides: a word, a truth value, or a sign."""
    if isinstance(value, Number):
        return Fit.GOOD if not value.unit and abs(value.amount) == 1 else Fit.NO
    return Fit.NO if isinstance(value, (Fraction, Items)) else Fit.GOOD


SHAPES: dict[str, Callable[[str, Value, RoleSpec, Resolves], Fit]] = {
    "pin": _pin,
    "number": _number,
    "numbers": _numbers,
    "ratio": _ratio,
    "text": _text,
    "body": _body,
    "any": _any,
    "side": _side,
}
