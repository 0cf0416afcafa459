"""Text to SensorKind, with ``grammar/sensor.lark``."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Any

from cfgaudit.syntax.grammars import load_parser
from cfgaudit.syntax.sensor import SensorKind

if TYPE_CHECKING:
    from lark import Token

REMEMBERED = 1024
LONGEST = 120
"""No kind of sensor takes more characters."""

AMOUNT = re.compile(r"([-+]?[0-9.]+)\s?([km]?)([0-9]?)", re.IGNORECASE)
THOUSANDS = {"k": 1e3, "m": 1e6}


@lru_cache(maxsize=REMEMBERED)
def read_sensor(text: str) -> SensorKind | None:
    """What a text says of a kind of sensor; None where any word of it is not known to the grammar.

    A thermistor's text may give its resistance, its β, both or neither; twice either is None.
    """
    from lark.exceptions import UnexpectedInput

    text = text.strip()
    if not text or len(text) > LONGEST:
        return None
    try:
        kind: SensorKind | None = _parser()(text)
    except UnexpectedInput:
        return None
    return kind


@cache
def _parser() -> Callable[[str], Any]:
    return load_parser("sensor", callbacks=_Callbacks())


class _Callbacks:
    """One method a rule of the grammar, called as the parser reduces."""

    def thermistor(self, tokens: list[Token]) -> SensorKind | None:
        ohms = [_ohms(token) for token in tokens if token.type == "OHMS"]
        betas = [float(token.rstrip("kK ")[-4:]) for token in tokens if token.type == "BETA"]
        named = any(token.type == "NTC" for token in tokens)
        if len(ohms) > 1 or len(betas) > 1 or not (named or (ohms and betas)):
            return None
        return SensorKind("thermistor", _only(ohms), _only(betas))

    def platinum(self, tokens: list[Token]) -> SensorKind:
        return SensorKind("platinum", float("".join(one for one in tokens[0] if one.isdigit())))

    def thermocouple(self, tokens: list[Token]) -> SensorKind:
        words = re.findall(r"[a-z]+", tokens[0].lower())
        letter = next(word for word in words if word != "type").removeprefix("type")
        return SensorKind("thermocouple", letter=letter.upper())

    def points(self, tokens: list[Token]) -> SensorKind:
        amounts = [_ohms(token) for token in tokens if token.type != "NTC"]
        pairs = tuple(zip(amounts[::2], amounts[1::2], strict=True))
        return SensorKind("thermistor", points=pairs)


def _ohms(text: str) -> float:
    """``100k``, ``4k7``, ``1.64 kΩ``, ``226 ohm`` and bare numbers; °C pass through."""
    match = AMOUNT.match(text)
    assert match is not None, "the grammar lets no such token through without a number"
    digits, letter, after = match.groups()
    return float(f"{digits}.{after}" if after else digits) * THOUSANDS.get(letter.lower(), 1.0)


def _only(amounts: Sequence[float]) -> float | None:
    return amounts[0] if amounts else None
