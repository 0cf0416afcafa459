"""What ``cfgaudit.toml`` states of sections and settings, whatever their words seem to say."""

from __future__ import annotations

from fnmatch import fnmatchcase

from cfgaudit.tree.config_tree import Setting
from cfgaudit.tree.names import fold_name
from cfgaudit.vocabulary.catalogue import PART_KINDS
from cfgaudit.vocabulary.reading import PartName
from cfgaudit.vocabulary.words import Words

STATED = "stated in cfgaudit.toml"
STATED_NONE = "no role, as cfgaudit.toml states"


def stated_parts(name: str, words: Words) -> tuple[PartName, ...]:
    """The parts that a section is stated to be; empty if nothing is stated of it.

    Raises ValueError if one of them is of no known kind.
    """
    for pattern, parts in words.overrides.parts.items():
        if _alike(pattern, name):
            return tuple(_part_name(text, name) for text in parts)
    return ()


def stated_role(setting: Setting, words: Words) -> str | None:
    """The role, or the role and an axis (``travel.max x``), or ``none``, that is stated of a setting."""
    for pattern, stated in words.overrides.roles.items():
        section, _, name = pattern.rpartition(":")
        if _alike(name, setting.name) and (not section or _alike(section, setting.section)):
            return stated
    return None


def _alike(pattern: str, name: str) -> bool:
    """Whether a name, or a glob, stands for a name. Both compare folded; a glob may also hold ``[a-c]``."""
    folded, whole = fold_name(pattern), fold_name(name)
    return folded == whole or fnmatchcase(whole, folded) or fnmatchcase(name.lower(), pattern.lower())


def _part_name(text: str, section: str) -> PartName:
    kind, _, label = text.partition(" ")
    if kind not in PART_KINDS:
        raise ValueError(f"{kind} is no kind of part")
    return PartName(kind, label or section)
