"""Names that lead to nothing, or to the wrong kind of thing."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.checks.finding import Limits, Problem, Skip, Subject
from cfgaudit.checks.registry import check
from cfgaudit.machine.model import Machine, Meaning, Part, Reference
from cfgaudit.machine.pieces import split_words
from cfgaudit.machine.places import find_piece, place_of_piece
from cfgaudit.machine.wording import is_plain_name
from cfgaudit.nearest import edit_distance, nearest
from cfgaudit.syntax.document import Place
from cfgaudit.syntax.read_sensor import read_sensor
from cfgaudit.tree.names import fold_name

CANNOT_SERVE = {
    "heater": frozenset({"fan", "motor", "driver", "servo", "probe", "mesh", "filament", "light", "shaper"}),
    "sensor": frozenset({"fan", "motor", "driver", "servo", "mesh", "light", "shaper"}),
    "fan": frozenset({"heater", "motor", "driver", "servo", "probe", "mesh", "sensor", "filament", "shaper"}),
    "motor": frozenset({"heater", "fan", "sensor", "probe", "mesh", "filament", "light", "shaper"}),
    "probe": frozenset({"heater", "fan", "motor", "driver", "mesh", "light", "shaper"}),
    "accelerometer": frozenset({"heater", "fan", "motor", "driver", "mesh", "light", "servo"}),
    "board": frozenset({"heater", "fan", "motor", "servo", "probe", "mesh", "filament", "light", "shaper"}),
}
"""By the kind that a reference asks for: the kinds that can surely never stand there.

What is in neither list may play the part: a driver that reports its temperature, an output that is a pump.
"""

SHOWN_BY = {
    "motor": ("pin.step", "pin.direction", "pin.enable", "steps.", "travel.turn", "gear.ratio", "current."),
    "heater": ("pin.heater", "pid.", "temp.max", "heater.resistance"),
    "sensor": ("pin.sensor", "sensor.", "temp.max"),
    "fan": ("pin.fan", "pin.tach"),
    "probe": ("pin.probe", "offset", "probe."),
    "board": ("board.",),
}
"""By the kind that a reference asks for: roles in any section that show it to be one as well.

A pin whose use nobody understands may be the one.
"""

SAID = {
    "heater": frozenset({"heater", "temp"}),
    "sensor": frozenset({"sensor", "temp"}),
}
"""Concepts of a setting's words that ask for this kind; for any other kind its own word.

Words like "follows" or "watches" ask for no kind: a fan may follow a lamp, a guard may watch a fan.
"""

SHORTEST, SLIPS = 4, 2
"""Letters of a name that may be misspelt, and letters that may be wrong in it."""

VAGUE = frozenset({"belongs", "little", ""})
"""Concepts of words that ask for no kind of part: a motor sits on its axis, and on its board."""


@check("reference-dangling")
def reference_dangling(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A setting names a part that is nowhere."""
    seen: set[tuple[Place, str]] = set()
    for one in subject.machine.references:
        if one.target is not None or not one.sure or one.implied or one.meaning is None:
            continue
        if _may_name_a_board(subject, one, one.meaning):
            continue
        place = place_of_name(one.meaning, one.text)
        if (place, one.text) not in seen:
            seen.add((place, one.text))
            yield Problem(
                place,
                f"{one.origin.title} names {one.text} as its {one.kind}, but nothing has that name",
                subject=f"{one.origin.title} {one.kind} {one.text}",
                advice=f"Did you mean {one.nearest}?" if one.nearest else None,
            )
    yield from _misspelt_sensors(subject.machine)


def _misspelt_sensors(machine: Machine) -> Iterator[Problem]:
    """Heaters without a sensor's pin whose sensor is of no type that the trade knows, but nearly a name."""
    names = [part.name for part in machine.kind("sensor") if len(part.name) >= SHORTEST]
    for heater in machine.kind("heater"):
        kind = heater.get("sensor.kind")
        if kind is None or heater.get("pin.sensor") or not is_plain_name(kind.text) or read_sensor(kind.text):
            continue
        near = nearest(kind.text, names)
        if near is not None and 0 < edit_distance(fold_name(kind.text), fold_name(near), SLIPS) <= SLIPS:
            yield Problem(
                kind.place,
                f"{heater.title} names {kind.text} as its sensor, but nothing has that name",
                subject=f"{heater.title} sensor {kind.text}",
                advice=f"Did you mean {near}?",
            )


@check("reference-wrong-part")
def reference_wrong_part(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A setting names a part of a kind that can never do what is asked of it."""
    for one in subject.machine.references:
        target = one.target
        if target is None or one.implied or one.meaning is None or not one.sure or one.suits:
            continue
        if _says_so(subject, one.meaning, one.kind, target):
            continue
        if _asks_for(subject, one.meaning, one.kind) and not _may_serve(subject.machine, target, one.kind):
            header = target.place
            yield Problem(
                place_of_name(one.meaning, one.text),
                f"{one.origin.title} needs a {one.kind}, but {one.text} is a {target.kind}",
                subject=f"{one.origin.title} {one.kind} {one.text}",
                related=(header,) if header is not None else (),
            )


def _may_name_a_board(subject: Subject, one: Reference, meaning: Meaning) -> bool:
    """Whether a wired part may sit on a board of this name, whose section we did not understand.

    That is so where no word but "on" or "belongs to" says what is named, and where a section's name holds
    the text or a pin has it for a board. A slip in the name of a part is one all the same.
    """
    slip = one.nearest is not None and edit_distance(fold_name(one.text), fold_name(one.nearest), 1) == 1
    if slip or subject.words is None or not any(True for _ in one.origin.all("pin.")):
        return False
    said = {word.concept for word in subject.words.lexicon.words(meaning.setting.name)}
    return said <= VAGUE and _is_mentioned(subject.machine, fold_name(one.text))


def _is_mentioned(machine: Machine, name: str) -> bool:
    """Whether a section's name holds a folded name, or a pin has it for a board."""
    return name in machine.pins or any(name in part.section.key for part in machine.parts)


def _asks_for(subject: Subject, meaning: Meaning, kind: str) -> bool:
    """Whether the setting's own words say which kind of part they want."""
    if subject.words is None:
        return False
    said = {word.concept for word in subject.words.lexicon.words(meaning.setting.name)}
    return bool(said & SAID.get(kind, frozenset({kind})))


def _says_so(subject: Subject, meaning: Meaning, kind: str, target: Part) -> bool:
    """Whether the target's section has, in its name, the very word that the setting asks with."""
    if subject.words is None:
        return False
    wanted = SAID.get(kind, frozenset({kind}))
    said = subject.words.lexicon.words(meaning.setting.name)
    asked = {word.text for word in said if word.concept in wanted}
    return any(asked & set(split_words(text)) for text in target.callings)


def _may_serve(machine: Machine, target: Part, kind: str) -> bool:
    """Whether anything that the target's section may describe can do what a part of the kind does.

    Where no word of its name says the section's kind, that was only guessed.
    """
    wrong = CANNOT_SERVE.get(kind, frozenset())
    parts = (target, *machine.mates(target))
    if target.name == target.section.name or any(part.kind not in wrong for part in parts):
        return True
    shows = ("pin.other", *SHOWN_BY.get(kind, ()))
    return any(True for part in parts for role in shows for _ in part.all(role))


def place_of_name(meaning: Meaning, text: str) -> Place:
    """The name itself, where it is only a piece of the setting's value."""
    start = find_piece(meaning.setting.value, text)
    if start is None or meaning.text.strip() == text:
        return meaning.place
    return place_of_piece(meaning.setting, start, start + len(text))
