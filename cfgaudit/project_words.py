"""The tables ``[words]``, ``[parts]`` and ``[roles]`` of ``cfgaudit.toml`` and of shared vocabulary files."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.nearest import or_nearest
from cfgaudit.toml_file import KeyPath, TomlFile
from cfgaudit.vocabulary.catalogue import AXES, NO_ROLE, PART_KINDS, ROLES
from cfgaudit.vocabulary.words import concepts


def read_words(file: TomlFile) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Each trade word with the further words that mean the same."""
    table = file.table("words")
    if table:
        file.known(("words",), table, concepts(), kind="trade word")
    for concept, words in table.items():
        yield concept, file.texts(("words", concept), words)


def read_parts(file: TomlFile) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Each section's name or glob with the parts that it describes: ``heater`` or ``heater bed``.

    Several may stand in one text as well, the way they are told: ``motor x, axis x``.
    """
    for section, value in file.table("parts").items():
        keys = ("parts", section)
        texts = (piece for text in file.texts(keys, value) for piece in _pieces(text))
        yield section, tuple(_part(file, keys, text) for text in texts)


def _pieces(text: str) -> list[str]:
    """One text as several parts, if each of its pieces begins with a kind: ``guard bed, nozzle`` is one."""
    pieces = text.split(",")
    several = all(piece.split()[:1] and piece.split()[0] in PART_KINDS for piece in pieces)
    return pieces if several else [text]


def _part(file: TomlFile, keys: KeyPath, text: str) -> str:
    kind = text.split()[0]
    if kind not in PART_KINDS:
        raise file.error(keys, f"there is no part kind {or_nearest(kind, PART_KINDS)}")
    return " ".join(text.split())


def read_roles(file: TomlFile) -> Iterator[tuple[str, str]]:
    """Each ``SETTING`` or ``SECTION:SETTING`` with its role: ``temp.max``, ``travel.max x`` or ``none``."""
    for address, value in file.table("roles").items():
        keys = ("roles", address)
        if not address.rpartition(":")[2].strip():
            raise file.error(keys, f'"{address}" must be "SETTING" or "SECTION:SETTING"')
        yield address, _role(file, keys, file.text(keys, value))


def _role(file: TomlFile, keys: KeyPath, text: str) -> str:
    role, *further = text.split()
    if role == NO_ROLE and not further:
        return NO_ROLE
    if role not in ROLES:
        raise file.error(keys, f"there is no role {or_nearest(role, ROLES)}")
    if len(further) > 1 or any(axis.lower() not in AXES for axis in further):
        expected = ", ".join(sorted(AXES))
        raise file.error(keys, f"after {role} may stand one axis ({expected}), not {' '.join(further)}")
    return " ".join((role, *(axis.lower() for axis in further)))
