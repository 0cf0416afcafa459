"""Settings that are written as they were, and are only taken for something else: by other words."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping
from functools import cached_property

from cfgaudit.evidence.records.pairing import Pair
from cfgaudit.evidence.records.record import DependedOn, carried
from cfgaudit.machine.model import Machine
from cfgaudit.machine.pieces import split_pieces
from cfgaudit.tree.config_tree import Setting
from cfgaudit.tree.names import fold_name

Name = tuple[str, str]
"""Of a section and of a setting in it, both folded."""


class Rereading:
    """What the files of a machine say now, and what it is taken for."""

    def __init__(self, machine: Machine) -> None:
        self._machine = machine

    def explains(self, pair: Pair, then: Collection[DependedOn]) -> bool:
        """Whether a setting that is gone, or new among ``then``, stands in the files as it did."""
        if pair.now is None and pair.then is not None:
            return self._still_written(pair.then)
        if pair.then is None and pair.now is not None:
            now = pair.now.on
            return any(_name(one) == _name(now) and one.value == now.value for one in then)
        return False

    def _still_written(self, one: DependedOn) -> bool:
        """With its value, and without its role: one that kept it belongs to another part now."""
        setting = self._settings.get(_name(one))
        return setting is not None and _holds(setting, one.value) and one.role not in self._roles[_name(one)]

    @cached_property
    def _settings(self) -> Mapping[Name, Setting]:
        found = self._machine.reading.tree.settings()
        return {(fold_name(carried(one.section)), fold_name(carried(one.name))): one for one in found}

    @cached_property
    def _roles(self) -> Mapping[Name, set[str]]:
        roles: defaultdict[Name, set[str]] = defaultdict(set)
        for part in self._machine.parts:
            for meaning in part.meanings:
                section, name = carried(meaning.setting.section), carried(meaning.setting.name)
                roles[fold_name(section), fold_name(name)].add(meaning.role)
        return roles


def _name(one: DependedOn) -> Name:
    return fold_name(one.section), fold_name(one.setting)


def _holds(setting: Setting, value: str) -> bool:
    whole = setting.value
    return value == carried(whole) or any(value == carried(piece.text) for piece in split_pieces(whole))
