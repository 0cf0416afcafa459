"""What the words of a tree mean: the value that passes from vocabulary to machine."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from cfgaudit.syntax.value import Value
from cfgaudit.tree.config_tree import ConfigTree, Section, Setting


class PartName(NamedTuple):
    """A part that a section describes: its kind (``heater``) and its name (``bed``; empty if it has none)."""

    kind: str
    name: str


class Sense(NamedTuple):
    """One further role that a piece of a value carries (``NTC 100k`` in a list that begins with a pin)."""

    role: str
    text: str
    value: Value


class Reading(NamedTuple):
    """What one setting does. ``role`` is None where the words do not decide it.

    ``value`` is the effective value parsed; ``fits`` is False where the words decide the role but the
    value's shape or unit contradicts it; ``why`` is the reason in one short line, for people.
    """

    setting: Setting
    value: Value
    role: str | None
    axis: str | None
    why: str
    fits: bool = True
    senses: tuple[Sense, ...] = ()


class SectionReading(NamedTuple):
    """What one section describes. ``parts[0]`` is the head; empty where no word names a part."""

    section: Section
    parts: tuple[PartName, ...]
    axis: str | None
    """The axis that the section's name gives, as a lower-case letter."""
    readings: tuple[Reading, ...]
    why: str


class TreeReading(NamedTuple):
    """A tree with its words understood."""

    tree: ConfigTree
    sections: tuple[SectionReading, ...]

    def unknown(self) -> Iterator[tuple[SectionReading, Reading]]:
        """Every setting whose role the words did not decide."""
        for section in self.sections:
            if section.parts and section.parts[0].kind == "alias":
                continue  # what its settings say is understood: names for pins
            for reading in section.readings:
                if reading.role is None:
                    yield section, reading
