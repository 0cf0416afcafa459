"""What a heater heats, from the words for places and from what else its section holds."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cache

from cfgaudit.checks.finding import Subject
from cfgaudit.machine.model import Machine, Part
from cfgaudit.syntax.read_pin import read_pin
from cfgaudit.tree.names import fold_name
from cfgaudit.vocabulary.names import Lexicon
from cfgaudit.vocabulary.words import load_words

IN_WORDS = {"bed": "bed", "hotend": "hot end", "chamber": "chamber"}
PLACES = {**{place: place for place in IN_WORDS}, "extruder": "hotend"}
"""By the concept of a word: the place; an extruder's heater is its hot end."""
FOLLOWS = ("temp.trigger", "pin.fan", "pin.tach", "speed.max")
"""Roles of what cools a heater, or blows on what it made."""
REGULATES = ("pin.sensor", "sensor.", "pid.", "control.kind")
"""Roles of what keeps a temperature."""
SURE = ("pin.sensor", "pid.", "control.kind")
"""Roles that, beside a pin for the heat, only a heater has."""
MELTS = ("nozzle.size", "filament.size", "extrude.temp")
"""Only what melts filament has one of these."""


@cache
def _trade() -> Lexicon:
    return load_words().lexicon


def places_named(subject: Subject, text: str) -> frozenset[str]:
    """Of ``bed``, ``hotend`` and ``chamber`` those that a name speaks of."""
    lexicon = subject.words.lexicon if subject.words is not None else _trade()
    return frozenset(PLACES[word.concept] for word in lexicon.words(text) if word.concept in PLACES)


def heated_place(subject: Subject, heater: Part) -> str | None:
    """``bed``, ``hotend`` or ``chamber``; None where the words name none of them or several."""
    named = (places_named(subject, text) for text in heater.callings)
    places = set(next(filter(None, named), ()))
    parts = (heater, *subject.machine.mates(heater))
    if any(part.kind == "motor" or any(part.get(role) for role in MELTS) for part in parts):
        places.add("hotend")
    return places.pop() if len(places) == 1 else None


def driven_heaters(machine: Machine) -> list[Part]:
    """The heaters that have a pin: a section that only speaks of a bed or a nozzle is none."""
    aliases = {alias.key for alias in machine.aliases}
    names = {fold_name(part.name) for part in machine.kind("heater", "sensor") if part.name}
    driven = [one for one in machine.kind("heater") if _has_drive(one, aliases, names)]
    return [one for one in driven if _heats(machine, one)]


def _has_drive(heater: Part, aliases: set[str], names: set[str]) -> bool:
    """Whether a pin drives the heater, and no other heater's name stands there that was taken for a pin."""
    drive = heater.get("pin.heater")
    pin = read_pin(drive.text) if drive is not None else None
    if drive is None or pin is None:
        return drive is not None
    on_board = pin.on_chip or pin.board is not None or pin.key in aliases
    return on_board or fold_name(pin.name) not in names - {fold_name(heater.name)}


def _heats(machine: Machine, heater: Part) -> bool:
    """Whether the section surely is a heater's: fans, guards and sensors, too, speak of heat and have a pin.

    Where no word of its name says so, what only heaters have must show it; where it says what only follows
    a heater has, a sensor or gains of its own.
    """
    parts = (heater, *machine.mates(heater))
    if heater.name == heater.section.name:
        return _states(parts, SURE)
    others = (one.target for one in machine.from_part(heater) if one.target is not None and not one.implied)
    follows = any(other.kind == "heater" and other.section is not heater.section for other in others)
    return _states(parts, REGULATES) or not (follows or _states(parts, FOLLOWS))


def _states(parts: Sequence[Part], roles: Iterable[str]) -> bool:
    return any(True for part in parts for role in roles for _ in part.all(role))
