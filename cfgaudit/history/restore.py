"""From changes to the texts in which they are undone. Entry point: `plan_restore`."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

from cfgaudit.audit import Audit
from cfgaudit.history.change import Change, ChangeKind, Side, Written
from cfgaudit.history.drafts import Drafts
from cfgaudit.history.name_users import (
    NameChange,
    SettingKey,
    alias_names,
    key_of,
    renamed_text,
    section_names,
    users,
)
from cfgaudit.history.occurrences import effective_of, match_places
from cfgaudit.history.pairing import pair_machines
from cfgaudit.history.putting_back import Returns
from cfgaudit.syntax.dialect import DETECT, Traits
from cfgaudit.syntax.edits import EditError
from cfgaudit.tree.config_tree import Occurrence, Section, Setting
from cfgaudit.tree.names import fold_name


class RestoreError(ValueError):
    """What cannot be put back; the message is one line that says why and what to do."""


class Restoration(NamedTuple):
    """What is put back, and the new content of every file that changes for it."""

    changes: tuple[Change, ...]
    files: Mapping[str, bytes]


def plan_restore(
    changes: Iterable[Change],
    before: Audit,
    after: Audit,
    every: Sequence[Change],
    *,
    traits: Traits = DETECT,
) -> Restoration:
    """The texts of ``after`` in which what the changes say is as it was in ``before``.

    ``every`` is all that changed between the two: what is not to be put back keeps its value. ``traits`` are
    those that the files were parsed with. Raises RestoreError where no edit can put a value back.
    """
    selected = with_companions(changes, every)
    plan = _Plan(selected, before, after, every, traits)
    try:
        plan.draw()
        return Restoration(selected, plan.drafts.texts())
    except EditError as error:
        raise RestoreError(f"{error}: put it back by hand") from error


def with_companions(changes: Iterable[Change], every: Sequence[Change]) -> tuple[Change, ...]:
    """The changes, and what moved out of or into the sections that they put back or take away."""
    chosen = list(changes)
    back = {one.before.section for one in chosen if one.before and _is_whole(one, ChangeKind.REMOVED)}
    away = {one.after.section for one in chosen if one.after and _is_whole(one, ChangeKind.ADDED)}
    for one in every:
        if one.kind is not ChangeKind.MOVED or one.before is None or one.after is None:
            continue
        if one not in chosen and (one.before.section in back or one.after.section in away):
            chosen.append(one)
    return tuple(chosen)


def _is_whole(change: Change, kind: ChangeKind) -> bool:
    return change.kind is kind and not change.setting


class _Plan:
    """One plan. Settings are put back before names are, so that a value put back is not changed again."""

    def __init__(
        self,
        selected: Sequence[Change],
        before: Audit,
        after: Audit,
        every: Sequence[Change],
        traits: Traits,
    ) -> None:
        self._selected, self._before, self._after, self._every = selected, before, after, every
        self._pairing = pair_machines(before.subject, after.subject)
        self._old = {section.key: section for section in before.tree.sections}
        self._new = {section.key: section for section in after.tree.sections}
        self.drafts = Drafts(after.tree.documents, traits)
        self._returns = Returns(self.drafts, before.tree, after.tree, self._now)
        self._kept = [one for one in every if one.kind is ChangeKind.RENAMED and one not in selected]
        self._forward = list(self._name_changes(self._kept, backward=False))
        self._uses_before = users(before.machine)

    def draw(self) -> None:
        """Collect every edit. Raises EditError, RestoreError."""
        whole = [one for one in self._selected if one.effective]
        for one in sorted(whole, key=_where_it_stood):
            self._put_back(one)
        for one in self._selected:
            if not one.effective:
                self._put_shadowed_back(one)
        self._follow_names()
        self._returns.finish()

    def _put_back(self, change: Change) -> None:
        left, right = change.before, change.after
        if change.setting and left is not None and right is not None:
            self._setting(self._old_setting(left.settings[0]), self._new_setting(right.settings[0]))
        elif left is not None and right is not None:
            self._rename_section(self._section(self._old, left), self._section(self._new, right))
        elif right is not None and change.setting:
            self._drop(self._new_setting(right.settings[0]))
        elif right is not None:
            self._drop_section(self._section(self._new, right))
        elif left is not None and change.setting:
            self._give_back(self._old_setting(left.settings[0]))
        elif left is not None:
            self._returns.section(self._section(self._old, left), self._value_then)

    def _setting(self, left: Setting, right: Setting) -> None:
        """A setting of both states, in one section or moved to another."""
        old, new = key_of(left)[0], key_of(right)[0]
        if self._pairing.pairs.get(old, old if not old else None) != new:
            self._drop(right)
            if not self._is_given_back_whole(old):
                self._give_back(left)
            return
        if left.key != right.key:
            for one in right.occurrences:
                self.drafts.key(one, left.effective.entry.key)
        if left.value != right.value:
            self._value(left, right)

    def _value(self, left: Setting, right: Setting) -> None:
        """Make the value that counted then count again."""
        places = match_places(left, right)
        wanted, value = left.effective, self._value_then(left.effective)
        target = next((new for old, new in places.pairs if old is wanted), None)
        if target is None and self._returns.has_home(key_of(left)[0], wanted):
            self._returns.entry(key_of(left)[0], wanted, value)
            return
        surplus = {id(one) for one in places.came} if target is not None else set()
        for one in right.occurrences:
            if id(one) in surplus:
                self.drafts.remove(one)
        counting = effective_of([one for one in right.occurrences if id(one) not in surplus])
        for each in (target, counting):
            if each is not None:
                self.drafts.value(each, value)

    def _drop(self, setting: Setting) -> None:
        for one in setting.occurrences:
            self.drafts.remove(one)

    def _give_back(self, setting: Setting) -> None:
        section = key_of(setting)[0]
        for one in setting.occurrences:
            if one is setting.effective or self._returns.has_home(section, one):
                self._returns.entry(section, one, self._value_then(one))

    def _drop_section(self, section: Section) -> None:
        for opening in section.openings:
            self.drafts.remove_section(opening)
        for setting in section.settings:
            self._drop(setting)

    def _rename_section(self, left: Section, right: Section) -> None:
        """Every header gets the name that stood there; the first name where there are more now."""
        names = [one.header.name for one in left.openings]
        for rank, opening in enumerate(right.openings):
            self.drafts.rename(opening, names[min(rank, len(names) - 1)])

    def _put_shadowed_back(self, change: Change) -> None:
        """A value without effect, in its own place."""
        left, right = change.before, change.after
        old = self._occurrence(self._old, left) if left is not None else None
        new = self._occurrence(self._new, right) if right is not None else None
        if old is not None and new is not None:
            self.drafts.value(new, self._value_then(old))
        elif new is not None:
            self.drafts.remove(new)
        elif old is not None and left is not None:
            key = self._section(self._old, left).key
            if not self._returns.has_home(key, old):
                raise RestoreError(
                    f"{change.address}: {old.document.path} has no [{left.section}] any more, where its "
                    "value without effect stood: put it back by hand"
                )
            self._returns.entry(key, old, self._value_then(old))

    def _follow_names(self) -> None:
        """Who named what has its old name again names it so again."""
        renamed = [one for one in self._selected if one.kind is ChangeKind.RENAMED]
        backward = list(self._name_changes(renamed, backward=True))
        if not backward:
            return
        called = {(one.section, one.alias) for one in backward}
        uses = users(self._after.machine)
        changed = {key for one in self._every for key in _settings_now(one)}
        then = {self._pairing.pairs.get(section, section): section for section in self._old}
        for setting in self._after.tree.settings():
            text = renamed_text(setting.value, backward)
            if text == setting.value or not uses.get(key_of(setting), frozenset()) & called:
                continue
            left = self._left_of(setting, then)
            if left is not None and key_of(setting) not in changed and self._carried(left) == left.value:
                text = left.value
            self.drafts.value(setting.effective, text)

    def _left_of(self, setting: Setting, then: Mapping[str, str]) -> Setting | None:
        section = self._old.get(then.get(key_of(setting)[0], ""))
        return _of_section(section, setting.key) if section is not None else None

    def _name_changes(self, changes: Iterable[Change], *, backward: bool) -> Iterator[NameChange]:
        before = {one.section.key: one for one in self._before.reading.sections}
        after = {one.section.key: one for one in self._after.reading.sections}
        for change in changes:
            if change.before is None or change.after is None:
                continue
            if change.setting:
                old, new = (
                    self._old_setting(change.before.settings[0]),
                    self._new_setting(change.after.settings[0]),
                )
                yield alias_names(new, old) if backward else alias_names(old, new)
            else:
                left, right = (
                    before[self._section(self._old, change.before).key],
                    after[self._section(self._new, change.after).key],
                )
                yield section_names(right, left) if backward else section_names(left, right)

    def _value_then(self, one: Occurrence) -> str:
        """A value as it was, with names that stay renamed as they are now."""
        return renamed_text(one.value, self._forward) if self._forward and self._names(one) else one.value

    def _carried(self, setting: Setting) -> str:
        return self._value_then(setting.effective)

    def _names(self, one: Occurrence) -> bool:
        called = {(change.section, change.alias) for change in self._forward}
        return any(
            targets & called
            for key, targets in self._uses_before.items()
            if key[1] == (fold_name(one.entry.key) or one.entry.key)
        )

    def _is_given_back_whole(self, section: str) -> bool:
        return any(
            one.kind is ChangeKind.REMOVED
            and not one.setting
            and one.before is not None
            and fold_name(one.before.section) == section
            for one in self._selected
        )

    def _now(self, old: str) -> Section | None:
        """Today's section of an old one's key."""
        return self._new.get(self._pairing.pairs.get(old, old))

    @staticmethod
    def _section(sections: Mapping[str, Section], side: Side) -> Section:
        return sections[fold_name(side.section) or side.section]

    def _old_setting(self, written: Written) -> Setting:
        return _found(self._old, written)

    def _new_setting(self, written: Written) -> Setting:
        return _found(self._new, written)

    @staticmethod
    def _occurrence(sections: Mapping[str, Section], side: Side) -> Occurrence:
        written = side.settings[0]
        setting = _found(sections, written)
        return next(
            one for one in setting.occurrences if one.place == written.where and one.value == written.value
        )


def _found(sections: Mapping[str, Section], written: Written) -> Setting:
    setting = _of_section(
        sections[fold_name(written.section) or written.section], fold_name(written.setting) or written.setting
    )
    if setting is None:
        raise KeyError(written.setting)
    return setting


def _of_section(section: Section, key: str) -> Setting | None:
    return next((one for one in section.settings if one.key == key), None)


def _where_it_stood(change: Change) -> tuple[str, int, int]:
    side = change.before or change.after
    return (side.where.file, side.where.line, side.where.column) if side is not None else ("", 0, 0)


def _settings_now(change: Change) -> Iterator[SettingKey]:
    for written in change.after.settings if change.after is not None else ():
        if change.setting:
            yield (
                fold_name(written.section) or written.section,
                fold_name(written.setting) or written.setting,
            )
