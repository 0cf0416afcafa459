"""Settings and sections as the sides of a change."""

from __future__ import annotations

from cfgaudit.history.change import Side, Written
from cfgaudit.syntax.document import Author, Place
from cfgaudit.tree.config_tree import Occurrence, Section, Setting

NOWHERE = Place("", 1, 1, 1, 1)


def side_of(setting: Setting) -> Side:
    """A setting as one side of its change."""
    return Side(setting.section, setting.place, (_written(setting),))


def side_of_occurrence(setting: Setting, one: Occurrence) -> Side:
    """One of the places where a setting is written."""
    written = Written(setting.section, setting.name, one.value, one.place, one.author)
    return Side(setting.section, one.place, (written,))


def side_of_section(section: Section) -> Side:
    """A section, all its settings included, as one side of its change."""
    place = section.place or (section.settings[0].place if section.settings else NOWHERE)
    return Side(section.name, place, tuple(_written(one) for one in section.settings))


def author_of_section(section: Section) -> Author:
    """The machine where it wrote all of a section."""
    authors = {one.effective.author for one in section.settings} or {one.author for one in section.openings}
    return "machine" if authors == {"machine"} else "hand"


def _written(setting: Setting) -> Written:
    return Written(setting.section, setting.name, setting.value, setting.place, setting.effective.author)
