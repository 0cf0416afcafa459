"""Tree readings for tests: real text, parsed and resolved, with the words' meaning given by hand."""

from __future__ import annotations

from collections.abc import Mapping

from cfgaudit.machine.build import build_machine
from cfgaudit.machine.model import Machine, Part
from cfgaudit.source import Memory
from cfgaudit.syntax.read_value import read_value
from cfgaudit.tree.config_tree import ConfigTree, Section, Setting
from cfgaudit.tree.resolve import resolve
from cfgaudit.vocabulary.reading import PartName, Reading, SectionReading, Sense, TreeReading

KINDS = frozenset(
    "board axis motor driver heater sensor fan guard probe mesh level servo filament shaper accelerometer"
    " motion endstop macro output light display alias supply".split()
)
"""In these readings a section's first word is its kind, the rest its name; other first words are unknown."""

ROLES: Mapping[str, str] = {
    "step": "pin.step",
    "coil": "pin.heater",
    "ear": "pin.sensor",
    "blow": "pin.fan",
    "touch": "pin.probe",
    "switch": "pin.endstop",
    "wires": "pin.other",
    "heats": "ref.heater",
    "feels": "ref.sensor",
    "airs": "ref.fan",
    "turns": "ref.motor",
    "moves": "ref.axis",
    "lives": "ref.board",
    "plays": "ref.macro",
    "dips": "ref.probe",
    "shakes": "ref.accelerometer",
    "low": "travel.min",
    "high": "travel.max",
    "fast": "speed.max",
    "push": "accel.max",
    "homing": "home.speed",
    "whole": "steps.full",
    "parts": "steps.micro",
    "round": "travel.turn",
    "cogs": "gear.ratio",
    "beside": "offset",
    "near": "mesh.low",
    "far": "mesh.high",
    "knots": "mesh.count",
    "spots": "level.points",
    "watts": "power.rating",
    "share": "power.max",
    "volts": "volts",
    "ohms": "heater.resistance",
    "hottest": "temp.max",
    "wakes": "temp.trigger",
    "says": "macro.body",
    "feel-kind": "sensor.kind",
}


def read_tree(
    files: str | Mapping[str, str], senses: Mapping[str, tuple[tuple[str, str], ...]] | None = None
) -> TreeReading:
    """Reads one text, or several files of which the first is the main one.

    ``senses`` maps a setting's name to (role, piece) for the pieces of its value that have roles of their
    own. A setting called ``ROLE x`` (``low x``) carries an axis.
    """
    texts = {"main.ini": files} if isinstance(files, str) else dict(files)
    tree = resolve(Memory({path: text.encode() for path, text in texts.items()}), next(iter(texts)))
    return reading_of(tree, senses or {})


def reading_of(tree: ConfigTree, senses: Mapping[str, tuple[tuple[str, str], ...]]) -> TreeReading:
    return TreeReading(tree, tuple(_section(section, senses) for section in tree.sections))


def machine_of(
    files: str | Mapping[str, str], senses: Mapping[str, tuple[tuple[str, str], ...]] | None = None
) -> Machine:
    return build_machine(read_tree(files, senses))


def part_of(machine: Machine, kind: str, name: str = "") -> Part:
    return next(part for part in machine.kind(kind) if part.name == name)


def _section(section: Section, senses: Mapping[str, tuple[tuple[str, str], ...]]) -> SectionReading:
    first, _, name = section.name.partition(" ")
    kinds = [kind for kind in first.split("+") if kind in KINDS]
    letter = name[:1].lower()
    axis = letter if letter in "xyzabcuvwe" and not name[1:2].isalpha() else None
    readings = tuple(_reading(setting, senses) for setting in section.settings)
    return SectionReading(section, tuple(PartName(kind, name) for kind in kinds), axis or None, readings, "")


def _reading(setting: Setting, senses: Mapping[str, tuple[tuple[str, str], ...]]) -> Reading:
    word, _, axis = setting.name.rpartition(" ")
    if len(axis) > 1 or not word:
        word, axis = setting.name, ""
    spoken = tuple(Sense(role, text, read_value(text)) for role, text in senses.get(setting.name, ()))
    role = ROLES.get(word)
    return Reading(setting, read_value(setting.value), role, axis or None, "by hand", True, spoken)
