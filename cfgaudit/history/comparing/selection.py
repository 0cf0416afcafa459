"""Which changes are meant: by address, by concern."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fnmatch import fnmatchcase

from cfgaudit.history.change import Change, Side
from cfgaudit.nearest import or_nearest
from cfgaudit.tree.config_tree import ConfigTree
from cfgaudit.tree.names import fold_name


def changes_at(changes: Sequence[Change], address: str) -> tuple[Change, ...]:
    """The changes of a setting (``SECTION:SETTING``) or of a section, by old or new name; globs allowed."""
    return tuple(one for one in changes if any(_meets(address, *names) for names in _names(one)))


def whole_section_of(changes: Sequence[Change], address: str) -> str | None:
    """The section that came or went as a whole and that the addressed setting is in."""
    section, _, setting = address.rpartition(":")
    for change in changes:
        for side in (change.before, change.after):
            if change.setting or side is None or not section:
                continue
            if _alike(section, side.section) and any(_alike(setting, one.setting) for one in side.settings):
                return side.section
    return None


def is_known(trees: Sequence[ConfigTree], address: str) -> bool:
    """Whether a section or setting of one of the trees has this address."""
    return any(
        _meets(address, section.name, name)
        for tree in trees
        for section in tree.sections
        for name in ("", *(setting.name for setting in section.settings))
    )


def nearest_address(trees: Sequence[ConfigTree], address: str) -> str:
    """The address, and the one that may be meant."""
    section, colon, _ = address.rpartition(":")
    sections = [one for tree in trees for one in tree.sections]
    known = dict.fromkeys(
        f"{one.name}:{each.name}" for one in sections if colon for each in one.settings
    ) or dict.fromkeys(one.name for one in sections if one.name)
    inside = [one for one in known if colon and _alike(section, one.rpartition(":")[0])]
    return or_nearest(address, inside or known)


def _meets(address: str, section: str, setting: str) -> bool:
    """A section's address is that of everything in it."""
    first, colon, last = address.rpartition(":")
    if _alike(address, section):
        return True
    return bool(colon) and bool(setting) and _alike(first, section) and _alike(last, setting)


def _names(change: Change) -> Iterator[tuple[str, str]]:
    yield change.section, change.setting
    for side in (change.before, change.after):
        if side is not None:
            yield side.section, _setting(change, side)


def _setting(change: Change, side: Side) -> str:
    return side.settings[0].setting if change.setting and side.settings else ""


def _alike(pattern: str, name: str) -> bool:
    """Whether a name is meant; what stands before any header has the empty name."""
    if not name:
        return not pattern
    folded = fold_name(name)
    return fold_name(pattern) == folded or fnmatchcase(name.casefold(), pattern.casefold())
