"""Settings that are written as they were, and are only taken for something else: by other words.

Of those that counted a record keeps the text. Of those that nobody understood, or that belonged to another
part for all that was known, it keeps short digests: to tell one that was learnt from one that was added.
"""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Collection, Mapping
from functools import cached_property

from cfgaudit.evidence.records.dependencies import MOVING, dependencies_now, kinds_that_depend
from cfgaudit.evidence.records.pairing import Pair
from cfgaudit.evidence.records.record import DependedOn, MeasurementKind, carried
from cfgaudit.machine.model import Machine
from cfgaudit.machine.pieces import split_pieces
from cfgaudit.tree.config_tree import Setting
from cfgaudit.tree.names import fold_name

Name = tuple[str, str]
"""Of a section and of a setting in it, both folded."""


KINDS: Mapping[str, frozenset[str]] = {
    of: frozenset((*kinds, "other"))
    for of, kinds in {
        "axis": MOVING,
        "axes": MOVING,
        "probe": (*MOVING, "probe", "servo"),
        "heater": ("heater", "sensor", "supply", "guard"),
    }.items()
}
"""By whose settings count: the kinds of parts that could have more of them. ``other`` may turn out as any."""


class Rereading:
    """What the files of a machine say now, and what it is taken for."""

    def __init__(self, machine: Machine) -> None:
        self._machine = machine

    def explains(self, pair: Pair, then: Collection[DependedOn], unread: str) -> bool:
        """Whether a setting that is gone, or new among ``then``, stands in the files as it did.

        ``unread`` are the digests of what stood there and did not count.
        """
        if pair.now is None and pair.then is not None:
            return self._still_written(pair.then)
        if pair.then is None and pair.now is not None:
            now = pair.now.on
            if digest(pair.now.meaning.setting) in unread.split():
                return True
            return any(_name(one) == _name(now) and one.value == now.value for one in then)
        return False

    def may_be_unread(self, one: DependedOn, unread: str) -> bool:
        """Whether its value stands in its section, in a setting that nobody understands and was not there."""
        then = unread.split()
        there = self._unread.get(fold_name(one.section), ())
        return any(_holds(setting, one.value) and digest(setting) not in then for setting in there)

    @cached_property
    def _unread(self) -> Mapping[str, list[Setting]]:
        found: defaultdict[str, list[Setting]] = defaultdict(list)
        for section in self._machine.reading.sections:
            found[fold_name(carried(section.section.name))] += [
                one.setting for one in section.readings if one.role is None
            ]
        return found

    def _still_written(self, one: DependedOn) -> bool:
        """With its value, and without its role: one that kept it belongs to another part now."""
        setting = self._settings.get(_name(one))
        return setting is not None and _holds(setting, one.value) and one.role not in self._roles[_name(one)]

    @cached_property
    def _settings(self) -> Mapping[Name, Setting]:
        found = self._machine.reading.tree.settings()
        return {_named(one): one for one in found}

    @cached_property
    def _roles(self) -> Mapping[Name, set[str]]:
        return roles_of(self._machine)


def unread_settings(kind: MeasurementKind, part: str, machine: Machine) -> str:
    """The digests of the settings that could count for a measurement of ``part`` by other words, and do not.

    Those without a role, in sections that could be of what is measured, and those whose role counts, of other
    parts: who learns how a carriage is driven learns of another axis's motors too.
    """
    depends = kinds_that_depend().get(kind)
    if depends is None:
        return ""
    counting = {_named(one.meaning.setting) for one in dependencies_now(kind, part, machine)}
    roles, kinds = roles_of(machine), KINDS[depends.of]
    found: dict[str, None] = {}
    for section in machine.reading.sections:
        may_count = any(one.kind in kinds for one in section.parts) or not section.parts
        for one in section.section.settings:
            role = roles.get(_named(one))
            if _named(one) not in counting and (bool(role & depends.roles) if role else may_count):
                found[digest(one)] = None
    return " ".join(found)


def digest(setting: Setting) -> str:
    """Eight hexadecimal digits of what is written, however it is spelled."""
    texts = (fold_name(setting.section), setting.key, " ".join(setting.value.casefold().split()))
    return hashlib.sha256("\0".join(texts).encode("utf-8", "surrogateescape")).hexdigest()[:8]


def roles_of(machine: Machine) -> Mapping[Name, set[str]]:
    """What every setting that means something is taken for."""
    roles: defaultdict[Name, set[str]] = defaultdict(set)
    for part in machine.parts:
        for meaning in part.meanings:
            roles[_named(meaning.setting)].add(meaning.role)
    return roles


def _named(setting: Setting) -> Name:
    return fold_name(carried(setting.section)), fold_name(carried(setting.name))


def _name(one: DependedOn) -> Name:
    return fold_name(one.section), fold_name(one.setting)


def _holds(setting: Setting, value: str) -> bool:
    whole = setting.value
    return value == carried(whole) or any(value == carried(piece.text) for piece in split_pieces(whole))
