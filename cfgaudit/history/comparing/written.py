"""From what a change says is written back to the settings and sections of a tree."""

from __future__ import annotations

from collections.abc import Mapping

from cfgaudit.history.change import Side, Written
from cfgaudit.tree.config_tree import ConfigTree, Occurrence, Section, Setting
from cfgaudit.tree.names import fold_name

Sections = Mapping[str, Section]


def key_of_name(name: str) -> str:
    """The form in which two spellings of a section's or setting's name are equal."""
    return fold_name(name) or name


def sections_of(tree: ConfigTree) -> Sections:
    """The sections of a tree by their keys."""
    return {section.key: section for section in tree.sections}


def section_of(sections: Sections, side: Side) -> Section:
    """The section that one side of a change is about."""
    return sections[key_of_name(side.section)]


def setting_of(sections: Sections, written: Written) -> Setting:
    """The setting that a change names. Raises KeyError if it is another tree's."""
    found = setting_in(sections.get(key_of_name(written.section)), key_of_name(written.setting))
    if found is None:
        raise KeyError(f"{written.section}:{written.setting}")
    return found


def setting_in(section: Section | None, key: str) -> Setting | None:
    """A section's setting with this key."""
    settings = section.settings if section is not None else ()
    return next((one for one in settings if one.key == key), None)


def occurrence_of(sections: Sections, side: Side) -> Occurrence:
    """The very place where one side of a change stands."""
    written = side.settings[0]
    places = setting_of(sections, written).occurrences
    return next(one for one in places if one.place == written.where and one.value == written.value)
