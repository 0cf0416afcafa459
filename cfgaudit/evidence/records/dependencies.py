"""What a measurement depends on: the settings that a record keeps, to tell later whether it still holds."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from itertools import islice
from pathlib import Path
from typing import Any, NamedTuple

from cfgaudit.evidence.records.record import DependedOn, MeasurementKind, carried, restored
from cfgaudit.machine.index import LINKED_TO_AXIS
from cfgaudit.machine.kinematics import partners_of
from cfgaudit.machine.model import Machine, Meaning, Part
from cfgaudit.machine.pieces import split_pieces
from cfgaudit.own_toml import read_own_toml
from cfgaudit.syntax.value import Items
from cfgaudit.tree.config_tree import ConfigTree
from cfgaudit.tree.names import fold_name

BELTS = "belts"
"""What a measurement of the belts is of."""
CARRIAGE = ("x", "y")
LIFT = ("z",)
MOVING = (*sorted(LINKED_TO_AXIS), "motion")


class Depends(NamedTuple):
    """What one kind of measurement depends on: a table of ``depends.toml``."""

    of: str
    roles: frozenset[str]
    within: Mapping[str, float]
    axes: Mapping[str, tuple[str, ...]]
    chosen: Mapping[str, tuple[str, ...]]
    """The results that are about what was chosen, each with the roles of that."""

    def counts(self, role: str, axis: str | None) -> bool:
        """Whether a setting with this role, of this axis, is among what it depends on."""
        letters = self.axes.get(role)
        return role in self.roles and (letters is None or axis is None or axis in letters)


class Dependency(NamedTuple):
    """A setting that a measurement depends on, and where it stands now."""

    on: DependedOn
    meaning: Meaning


@cache
def kinds_that_depend() -> Mapping[MeasurementKind, Depends]:
    """What each kind of measurement that depends on settings depends on."""
    tables = read_own_toml(Path(__file__).with_name("depends.toml"))
    return {MeasurementKind(kind): _depends(table) for kind, table in tables.items()}


def _depends(table: Mapping[str, Any]) -> Depends:
    axes = {role: tuple(letters) for role, letters in table.get("axes", {}).items()}
    chosen = {result: tuple(roles) for result, roles in table.get("chosen", {}).items()}
    return Depends(table["of"], frozenset(table["roles"]), table.get("within", {}), axes, chosen)


def dependencies(kind: MeasurementKind, part: str, machine: Machine) -> tuple[DependedOn, ...]:
    """The settings, as they are now, that a measurement of ``part`` (``axis x``) depends on.

    None for a kind that depends on no setting, and where the machine has no such part.
    """
    return tuple(one.on for one in dependencies_now(kind, part, machine))


def dependencies_now(kind: MeasurementKind, part: str, machine: Machine) -> tuple[Dependency, ...]:
    """As `dependencies`, with where each of them stands."""
    depends = kinds_that_depend().get(kind)
    if depends is None:
        return ()
    found: dict[tuple[str, ...], Dependency] = {}
    for member, axis, meaning in _meanings(depends, part, machine):
        if depends.counts(meaning.role, axis):
            text = _counting(meaning, axis, depends.axes.get(meaning.role))
            one = depended_on(member.title, axis, meaning, text)
            # two parts of one section share its settings
            found.setdefault((one.section, one.setting, one.role, one.value), Dependency(one, meaning))
    return tuple(found.values())


def _counting(meaning: Meaning, axis: str | None, letters: tuple[str, ...] | None) -> str:
    """What is written, of 10, 20, 1.8 for x, y, z only what is for the axes that count."""
    if axis is None and letters is not None and isinstance(meaning.value, Items):
        return ", ".join(piece.text for piece in islice(split_pieces(meaning.text), len(letters)))
    return meaning.text


def depended_on(title: str, axis: str | None, meaning: Meaning, text: str) -> DependedOn:
    """A setting as a record holds it: of the part of this title, with this much of its value."""
    texts = (title, text, meaning.setting.section, meaning.setting.name)
    part, value, section, setting = map(carried, texts)
    return DependedOn(part, meaning.role, axis, value, section, setting)


def _meanings(depends: Depends, part: str, machine: Machine) -> Iterator[tuple[Part, str | None, Meaning]]:
    """Every meaning that counts, with the part that has it and the axis that it is about."""
    yield from _moving(_axes(depends.of, part, machine), depends, machine)
    for member in _own_parts(depends.of, part, machine):
        for meaning in member.meanings:
            if meaning.role in depends.roles:
                yield member, meaning.axis, meaning
    for member, volts in _supplied(depends.of, part, machine):
        yield member, None, volts


def _supplied(of: str, part: str, machine: Machine) -> Iterator[tuple[Part, Meaning]]:
    """The volts of the only supply, where a heater states none itself."""
    heaters = parts_of_kind("heater", part, machine) if of == "heater" else ()
    supplies = [(one, volts) for one in machine.kind("supply") if (volts := one.get("volts")) is not None]
    if any(heater.get("volts") is None for heater in heaters) and len(supplies) == 1:
        yield from supplies


def _moving(
    letters: Iterable[str], depends: Depends, machine: Machine
) -> Iterator[tuple[Part, str | None, Meaning]]:
    """What is written for these axes, wherever it stands; of the whole machine only where x or y move."""
    owners = {id(part): letter for letter in letters for part in machine.axis(letter).parts()}
    whole = depends.of in ("axis", "axes")
    for part in machine.kind(*MOVING) if owners else ():
        for meaning in part.meanings:
            if meaning.role not in depends.roles:
                continue
            named = meaning.axis if meaning.axis != part.axis else None
            if named is not None and named in owners.values():
                yield part, named, meaning
            elif named is None and (id(part) in owners or (whole and part.kind == "motion")):
                yield part, owners.get(id(part)), meaning


def _axes(of: str, part: str, machine: Machine) -> tuple[str, ...]:
    """The axes whose settings count: the measured ones, and those that share their motors with them."""
    measured = {"axis": (axis_letter(part),), "axes": CARRIAGE, "probe": LIFT}.get(of, ())
    partners = (one.letter for letter in measured for one in partners_of(machine.axis(letter)))
    return tuple(dict.fromkeys(partners))


def members(kind: MeasurementKind, part: str, machine: Machine) -> Iterator[Part]:
    """The parts that have to do with what a measurement of ``part`` is of, whatever their settings."""
    of = kinds_that_depend()[kind].of
    for letter in _axes(of, part, machine):
        yield from machine.axis(letter).parts()
    yield from _own_parts(of, part, machine)


def axis_letter(part: str) -> str:
    """``x`` of ``axis x``."""
    return part.rpartition(" ")[2].casefold()


def _own_parts(of: str, part: str, machine: Machine) -> Iterator[Part]:
    """The heater or the probe that was measured, and what goes with it."""
    if of not in ("heater", "probe"):
        return
    for named in parts_of_kind(of, part, machine):
        yield named
        yield from machine.mates(named)
        if of == "heater":
            yield from machine.partners(named, "sensor")


def parts_of_kind(kind: str, part: str, machine: Machine) -> tuple[Part, ...]:
    """The parts of one kind (``heater``) that ``heater bed`` or ``bed`` means."""
    return tuple(one for one in parts_named(part, machine) if one.kind == kind)


def parts_named(part: str, machine: Machine) -> tuple[Part, ...]:
    """The parts that ``heater bed`` or ``bed`` may mean: by title, else by name."""
    wanted = fold_name(restored(part))
    return tuple(machine.index.by_title.get(wanted) or machine.index.by_name.get(wanted, ()))


def settings_digest(tree: ConfigTree) -> str:
    """SHA-256 of all effective settings, wherever and in whatever order they are written."""
    whole = hashlib.sha256()
    for line in sorted(f"{fold_name(one.section)}\0{one.key}\0{one.value}\n" for one in tree.settings()):
        whole.update(line.encode("utf-8", "surrogateescape"))
    return whole.hexdigest()
