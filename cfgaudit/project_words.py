"""The tables ``[words]``, ``[parts]`` and ``[roles]`` of ``cfgaudit.toml`` and of shared vocabulary files."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from cfgaudit.nearest import or_nearest
from cfgaudit.toml_file import KeyPath, TomlFile
from cfgaudit.vocabulary.catalogue import AXES, PART_KINDS, ROLES
from cfgaudit.vocabulary.reading import PartName

NO_ROLE = "none"


@dataclass(frozen=True, slots=True)
class RoleOverride:
    """What a user says that a setting does. ``role`` is None where the user says that it has no role."""

    section: str
    """A section's name or a glob; ``*`` where the user names none."""
    setting: str
    """A setting's name or a glob."""
    role: str | None
    axis: str | None


def read_words(file: TomlFile) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Each trade word with the further words that mean the same."""
    for concept, words in file.table("words").items():
        yield concept, file.texts(("words", concept), words)


def read_parts(file: TomlFile) -> Iterator[tuple[str, tuple[PartName, ...]]]:
    """Each section's name or glob with the parts that it describes."""
    for section, value in file.table("parts").items():
        keys = ("parts", section)
        yield section, tuple(_part(file, keys, text) for text in file.texts(keys, value))


def _part(file: TomlFile, keys: KeyPath, text: str) -> PartName:
    kind, _, name = text.strip().partition(" ")
    if kind not in PART_KINDS:
        raise file.error(keys, f"there is no part kind {or_nearest(kind, PART_KINDS)}")
    return PartName(kind, name.strip())


def read_roles(file: TomlFile) -> Iterator[RoleOverride]:
    """Each setting's role; the key is ``SETTING`` or ``SECTION:SETTING``."""
    for address, value in file.table("roles").items():
        keys = ("roles", address)
        section, _, setting = address.rpartition(":")
        if not setting.strip():
            raise file.error(keys, f'"{address}" must be "SETTING" or "SECTION:SETTING"')
        role, axis = _role(file, keys, file.text(keys, value))
        yield RoleOverride(section.strip() or "*", setting.strip(), role, axis)


def _role(file: TomlFile, keys: KeyPath, text: str) -> tuple[str | None, str | None]:
    role, _, axis = text.strip().partition(" ")
    axis = axis.strip().lower()
    if role == NO_ROLE and not axis:
        return None, None
    if role not in ROLES:
        raise file.error(keys, f"there is no role {or_nearest(role, ROLES)}")
    if axis and axis not in AXES:
        raise file.error(keys, f"the axis after {role} must be one of {', '.join(sorted(AXES))}, not {axis}")
    return role, axis or None
