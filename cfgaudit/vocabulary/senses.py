"""Values that say several things: ``main.PC2, NTC 100k B3950, pull-up 4.7k`` and ``0 .. 420 mm``."""

from __future__ import annotations

import re
from collections.abc import Iterator

from cfgaudit.syntax.read_value import has_decimal_comma, read_value
from cfgaudit.syntax.value import Items, Number, Text, Value, numbers
from cfgaudit.vocabulary.decide import Judge
from cfgaudit.vocabulary.reading import Sense
from cfgaudit.vocabulary.sections import SectionKind
from cfgaudit.vocabulary.shapes import Resolves

LOWER_END = {
    "travel.max": "travel.min",
    "temp.max": "temp.min",
    "power.max": "power.min",
    "mesh.high": "mesh.low",
}
"""A role whose value may be a range, and the role of the range's lower end."""
WORDS_THEN_NUMBER = re.compile(r"(?P<words>\D*[^\W\d])\s*[\s:=]\s*(?P<number>[-+]?[\d.]+\s*\S*)")
SENSOR_HOLDERS = ("pin.sensor", "ref.sensor")
MERE_SENSORS = (frozenset({"sensor"}), frozenset({"sensor", "temp"}))


def range_ends(role: str, text: str, value: Value) -> tuple[Value, tuple[Sense, ...]]:
    """A range read as its upper end, with the lower end as a further sense; any other value as it is.

    Two numbers of a mesh's corner are x and y unless the mark between them says range; a comma inside a
    number (``6,5``) makes no range.
    """
    if role not in LOWER_END or not isinstance(value, Items) or len(value.items) != 2:
        return value, ()
    if value.joiner != "range" and (role == "mesh.high" or has_decimal_comma(text)):
        return value, ()
    low, high = value.items
    if isinstance(low, Number) and isinstance(high, Number) and numbers(value):
        return high, (Sense(LOWER_END[role], low.text, low),)
    return value, ()


def further_senses(
    role: str, text: str, value: Value, kind: SectionKind, judge: Judge, resolves: Resolves
) -> Iterator[Sense]:
    """What the pieces after the first say, where the first is a pin or a name."""
    if not role.startswith(("pin.", "ref.")) or not isinstance(value, Items) or "\n" in text:
        return
    about = kind._replace(head="sensor") if role == "pin.sensor" else kind
    for piece in text.split(",")[1:]:
        sense = _said_sense(piece.strip(), about, judge, resolves)
        if sense is None and role in SENSOR_HOLDERS:
            sense = _type_of_sensor(piece.strip(), resolves)
        if sense is not None:
            yield sense


def _said_sense(piece: str, kind: SectionKind, judge: Judge, resolves: Resolves) -> Sense | None:
    """What a piece of words and a number says (``pull-up 4.7k``); nothing of ``NTC 100k``, a type."""
    match = WORDS_THEN_NUMBER.fullmatch(piece)
    if match is None or judge.said(match["words"]).concepts in MERE_SENSORS:
        return None
    value = read_value(match["number"])
    decision = judge.decide(match["words"], match["number"], value, kind, resolves)
    if decision.role is None or not decision.fits or decision.role.startswith(("pin.", "ref.")):
        return None
    return Sense(decision.role, match["number"], value)


def _type_of_sensor(piece: str, resolves: Resolves) -> Sense | None:
    value = read_value(piece)
    return Sense("sensor.kind", piece, value) if isinstance(value, Text) and not resolves(piece) else None
