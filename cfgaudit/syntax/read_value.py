"""Text to Value, with ``grammar/value.lark``."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Any

from cfgaudit.syntax.grammars import load_parser
from cfgaudit.syntax.units import ISO_8859_1, unit_meaning
from cfgaudit.syntax.value import Boolean, Fraction, Items, Number, Opaque, Text, Value

if TYPE_CHECKING:
    from lark import Token

REMEMBERED = 8192
"""Distinct texts kept: more than a large machine has."""

EMPTY = Text("")

PLAIN = re.compile(r"(?!(?:yes|true|on|enabled|no|false|off|disabled)\b)[^\W\d_][^,\n{%<]*", re.IGNORECASE)
"""What begins with a letter, is no truth value, and holds nothing that separates or stands in for something:
such a text is nothing else, and half of all values need no parsing."""


@lru_cache(maxsize=REMEMBERED)
def read_value(text: str) -> Value:
    """What a value says. Never fails: what is nothing else is `Text`.

    Lines become Items joined by ``line``; a line with commas Items joined by ``comma``; a trailing comma
    counts for nothing. In ``10 x 20 mm`` and ``0 .. 420 mm`` the unit holds for every number. A decimal
    comma is not read as one: ``1,5`` is a list of two (see `has_decimal_comma`).
    """
    from lark.exceptions import UnexpectedInput

    text = text.strip()
    if not text:
        return EMPTY
    if PLAIN.fullmatch(text):
        return Text(text)
    try:
        value: Value = _parser()(text)
    except UnexpectedInput:
        return Text(text)
    return value


def has_decimal_comma(text: str) -> bool:
    """Whether a value is two numbers around a single comma without any space, like ``0,4`` or ``0,4 mm``."""
    before, comma, after = text.strip().partition(",")
    if not comma or not before[-1:].isdigit() or not after[:1].isdigit():
        return False
    match read_value(text):
        case Items(items=(Number(unit=""), Number()), joiner="comma"):
            return True
    return False


@cache
def _parser() -> Callable[[str], Any]:
    return load_parser("value", callbacks=_Callbacks())


def _number(tokens: list[Token], shared: str = "") -> Number:
    """One number from its token and, if it has one, its unit's; ``shared`` is the unit of the whole list."""
    digits = tokens[0].rstrip()
    unit = tokens[1].rstrip() if len(tokens) > 1 else ""
    amount = float(int(digits, 16)) if "x" in digits.lower() else float(digits)
    text = (tokens[0] + unit).rstrip()
    if not unit and not shared:
        return Number(amount, text=text)
    unit = (unit or shared).translate(ISO_8859_1)
    dimension, (times, by) = unit_meaning(unit)
    return Number(amount * times / by, unit, dimension, text)


def _numbers(tokens: list[Token]) -> tuple[Number, ...]:
    """Every number of a list; a unit after the last one only is the unit of all."""
    groups: list[list[Token]] = []
    for token in tokens:
        if token.type == "NUMBER":
            groups.append([token])
        elif token.type == "UNIT":
            groups[-1].append(token)
    lengths = [len(group) for group in groups]
    shared = groups[-1][1].rstrip() if lengths[-1] == 2 and sum(lengths) == len(groups) + 1 else ""
    return tuple(_number(group, shared) for group in groups)


class _Callbacks:
    """One method a rule of the grammar, called as the parser reduces."""

    number = staticmethod(_number)

    def crossed(self, tokens: list[Token]) -> Items:
        return Items(_numbers(tokens), "cross")

    def ranged(self, tokens: list[Token]) -> Items:
        return Items(_numbers(tokens), "range")

    def spaced(self, tokens: list[Token]) -> Items:
        return Items(_numbers(tokens), "space")

    def fraction(self, tokens: list[Token]) -> Fraction:
        over, under = tokens[0].replace("/", ":").split(":")
        return Fraction(float(over), float(under))

    def truth(self, tokens: list[Token]) -> Boolean:
        return Boolean(True)

    def falsehood(self, tokens: list[Token]) -> Boolean:
        return Boolean(False)

    def quoted(self, tokens: list[Token]) -> Text:
        return Text(tokens[0].rstrip()[1:-1], quoted=True)

    def text(self, tokens: list[Token]) -> Text:
        return Text(tokens[0].rstrip())

    def broken(self, tokens: list[Token]) -> Text:
        return Text("".join(tokens).rstrip())

    def opaque(self, tokens: list[Token]) -> Opaque:
        return Opaque(str(tokens[0]))

    def line(self, parts: list[Value | Token]) -> Value:
        return parts[0] if len(parts) == 1 and not isinstance(parts[0], str) else _comma_list(parts)

    def lines(self, lines: list[Value]) -> Value:
        return lines[0] if len(lines) == 1 else Items(tuple(lines), "line")


def _comma_list(parts: list[Value | Token]) -> Value:
    """Items between commas: an empty one is empty text, but not after the last comma."""
    items: list[Value] = []
    vacant = True
    for part in parts:
        if not isinstance(part, str):
            items.append(part)
        elif vacant:
            items.append(EMPTY)
        vacant = isinstance(part, str)
    return items[0] if len(items) == 1 else Items(tuple(items), "comma")
