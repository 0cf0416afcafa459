"""What a heater heats, from the words for places and from what else its section holds."""

from __future__ import annotations

from functools import cache

from cfgaudit.checks.finding import Subject
from cfgaudit.machine.model import Machine, Part
from cfgaudit.vocabulary.names import Lexicon
from cfgaudit.vocabulary.words import load_words

IN_WORDS = {"bed": "bed", "hotend": "hot end", "chamber": "chamber"}
PLACES = {**{place: place for place in IN_WORDS}, "extruder": "hotend"}
"""By the concept of a word: the place; an extruder's heater is its hot end."""
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
    return [heater for heater in machine.kind("heater") if heater.get("pin.heater") is not None]
