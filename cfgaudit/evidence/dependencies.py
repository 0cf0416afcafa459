"""What a measurement depends on: the settings that a record keeps, to tell later whether it still holds."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

from cfgaudit.evidence.record import DependedOn, MeasurementKind
from cfgaudit.machine.model import Machine, Meaning, Part
from cfgaudit.own_toml import read_own_toml
from cfgaudit.tree.config_tree import ConfigTree
from cfgaudit.tree.names import fold_name

CARRIAGE = ("x", "y")


@cache
def _kinds() -> dict[str, Any]:
    return read_own_toml(Path(__file__).with_name("depends.toml"))


def dependencies(kind: MeasurementKind, part: str, machine: Machine) -> tuple[DependedOn, ...]:
    """The settings, as they are now, that a measurement of ``part`` (``axis x``) depends on.

    None for a kind that depends on no setting, and where the machine has no such part.
    """
    table = _kinds().get(kind)
    if table is None:
        return ()
    roles, letters = frozenset(table["roles"]), _letters(table["of"], part)
    found = (
        DependedOn(
            one.title, meaning.role, meaning.axis, meaning.text, meaning.setting.section, meaning.setting.name
        )
        for one in _members(table["of"], part, machine)
        for meaning in one.meanings
        if meaning.role in roles and _concerns(meaning, letters)
    )
    by_place = {(one.section, one.setting, one.role, one.axis, one.value): one for one in found}
    return tuple(by_place.values())  # two parts of one section share its settings


def _letters(of: str, part: str) -> tuple[str, ...]:
    """The axes whose settings count."""
    return {"axis": (part.rpartition(" ")[2],), "axes": CARRIAGE, "probe": ("z",)}.get(of, ())


def _concerns(meaning: Meaning, letters: tuple[str, ...]) -> bool:
    return meaning.axis is None or not letters or meaning.axis in letters or meaning.role == "offset"


def _members(of: str, part: str, machine: Machine) -> Iterator[Part]:
    for letter in _letters(of, part):
        yield from machine.axis(letter).parts()
    if of == "axis" or of == "axes":
        yield from machine.kind("motion")
    for named in parts_named(part, machine):
        yield named
        yield from machine.mates(named)
        if of == "heater":
            yield from machine.partners(named, "sensor")


def parts_named(part: str, machine: Machine) -> Iterator[Part]:
    """The parts that ``heater bed`` or ``bed`` may mean: by title, else by name."""
    wanted = fold_name(part)
    titled = [one for one in machine.parts if fold_name(one.title) == wanted]
    yield from titled or (one for one in machine.parts if one.name and fold_name(one.name) == wanted)


def settings_digest(tree: ConfigTree) -> str:
    """SHA-256 of all effective settings, wherever and in whatever order they are written."""
    whole = hashlib.sha256()
    for line in sorted(f"{fold_name(one.section)}\0{one.key}\0{one.value}\n" for one in tree.settings()):
        whole.update(line.encode("utf-8", "surrogateescape"))
    return whole.hexdigest()
