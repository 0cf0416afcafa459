"""The nearest of the names that there are, where one never was."""

from __future__ import annotations

from collections.abc import Iterable

from cfgaudit.history.over_time.passages import Key
from cfgaudit.history.over_time.timeline import SettingPattern, read_pattern
from cfgaudit.nearest import NearNames
from cfgaudit.tree.config_tree import ConfigTree


def nearest_setting(trees: Iterable[ConfigTree | None], address: str) -> str | None:
    """The setting that an address most likely means: a wrong section, a wrong setting, or both near."""
    names = {
        (section.key, one.key): (section.name, one.name)
        for tree in trees
        if tree is not None
        for section in tree.sections
        for one in section.settings
    }
    given, _, setting = address.rpartition(":")
    pattern = read_pattern(address)
    right_section = _labels(names, SettingPattern(pattern.section, "*"))
    if right_section:
        near = NearNames(one for _, one in right_section).nearest(setting)
        return None if near is None else f"{_spelled(given, right_section)}:{near}"
    right_setting = _labels(names, SettingPattern("*", pattern.setting))
    sections = (one for one, _ in right_setting or names.values())
    near = NearNames(sections).nearest(given)
    return None if near is None else f"{near}:{setting if right_setting else '*'}"


def _labels(names: dict[Key, tuple[str, str]], pattern: SettingPattern) -> list[tuple[str, str]]:
    return [label for key, label in names.items() if pattern.fits(key)]


def _spelled(given: str, labels: list[tuple[str, str]]) -> str:
    """The section as it is spelled where only one is meant."""
    sections = {section for section, _ in labels}
    return sections.pop() if len(sections) == 1 else given
