"""What a heater heats, from the words for places and from what else its section holds."""

from __future__ import annotations

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
FOLLOWS = ("guard.", "temp.trigger", "pin.fan")
"""Roles of what watches or cools a heater."""
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
    places = set(places_named(subject, heater.section.name))
    parts = (heater, *subject.machine.mates(heater))
    if any(part.kind == "motor" or any(part.get(role) for role in MELTS) for part in parts):
        places.add("hotend")
    return places.pop() if len(places) == 1 else None


def driven_heaters(machine: Machine) -> list[Part]:
    """The heaters that have a pin: a section that only speaks of a bed or a nozzle is none."""
    aliases = {alias.key for alias in machine.aliases}
    names = {fold_name(part.name) for part in machine.kind("heater", "sensor") if part.name}
    return [heater for heater in machine.kind("heater") if _is_driven(machine, heater, aliases, names)]


def _is_driven(machine: Machine, heater: Part, aliases: set[str], names: set[str]) -> bool:
    """Whether a pin drives the heater, and no name stands there that was taken for a pin.

    A bare word is the pin of a heater, but in the section of a guard or a fan, and where it is another
    heater's name, it says what these are for.
    """
    drive = heater.get("pin.heater")
    pin = read_pin(drive.text) if drive is not None else None
    if drive is None or pin is None:
        return drive is not None
    if pin.on_chip or pin.board is not None or pin.key in aliases:
        return True
    if fold_name(pin.name) in names - {fold_name(heater.name)}:
        return False
    parts = (heater, *machine.mates(heater))
    follows = any(True for part in parts for role in FOLLOWS for _ in part.all(role))
    return not follows and not any(part.kind in ("guard", "fan") for part in parts)
