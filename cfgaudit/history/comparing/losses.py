"""What changes took away, and at which sections that may be missed."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence, Set
from typing import NamedTuple

from cfgaudit.history.change import Change, ChangeKind
from cfgaudit.history.comparing.written import key_of_name
from cfgaudit.machine.model import Machine

SettingKey = tuple[str, str]
"""The keys of a section and of a setting in it."""


class Loss(NamedTuple):
    """``change`` is the number of the one that took it; ``what`` are kinds of parts, and roles."""

    change: int
    what: Set[str]


class Losses:
    """By the section, as it was called before, at which something may be missed."""

    def __init__(self, changes: Sequence[Change], before: Machine, after: Machine) -> None:
        self._before, self._after = _Links(before), _Links(after)
        self.former = {
            key_of_name(one.after.section): key_of_name(one.before.section)
            for one in changes
            if one.kind is ChangeKind.RENAMED and not one.setting and one.before and one.after
        }
        self._table: defaultdict[str, list[Loss]] = defaultdict(list)
        for number, change in enumerate(changes):
            for section, what in self._taken(change):
                self._table[section].append(Loss(number, what))

    def missed_at(self, section: str, what: Collection[str]) -> Iterator[int]:
        """The changes that took one of these kinds or roles from a section, by its key after."""
        wanted = set(what)
        for loss in self._table.get(self.former.get(section, section), ()):
            if wanted & loss.what:
                yield loss.change

    def _taken(self, change: Change) -> Iterator[tuple[str, Set[str]]]:
        side = change.before
        if side is None or not change.effective:
            return
        section = key_of_name(side.section)
        if change.setting:
            yield from self._by_setting(change, (section, key_of_name(side.settings[0].setting)))
        elif change.kind in (ChangeKind.REMOVED, ChangeKind.RENAMED):
            what = {*self._before.kinds[section], *self._before.roles[section]}
            yield from ((other, what) for other in self._before.tied[section])

    def _by_setting(self, change: Change, key: SettingKey) -> Iterator[tuple[str, Set[str]]]:
        """The links that a setting makes no more; and its role, where the section has that no more."""
        section, _ = key
        for target in self._before.named[key] - self._still_named(change):
            yield target, self._before.kinds[section]
            yield section, self._before.kinds[target]
        if change.role is not None and change.kind in (ChangeKind.REMOVED, ChangeKind.MOVED):
            yield from ((other, {change.role}) for other in {section, *self._before.tied[section]})

    def _still_named(self, change: Change) -> Set[str]:
        """The sections that a setting names, as they were called before."""
        if change.after is None or change.kind is ChangeKind.MOVED:
            return set()
        one = change.after.settings[0]
        named = self._after.named[key_of_name(one.section), key_of_name(one.setting)]
        return {self.former.get(each, each) for each in named}


class _Links:
    """Who names whom in one machine, by the keys of sections."""

    def __init__(self, machine: Machine) -> None:
        self.kinds: Mapping[str, set[str]] = defaultdict(set)
        self.roles: Mapping[str, set[str]] = defaultdict(set)
        for part in machine.parts:
            self.kinds[part.section.key].add(part.kind)
            self.roles[part.section.key].update(part.by_role)
        self.named: Mapping[SettingKey, set[str]] = defaultdict(set)
        self.tied: Mapping[str, set[str]] = defaultdict(set)
        for link in machine.references:
            if link.target is None:
                continue
            origin, target = link.origin.section.key, link.target.section.key
            self.tied[origin].add(target)
            self.tied[target].add(origin)
            if link.meaning is not None:
                self.named[origin, link.meaning.setting.key].add(target)
