"""Values that name what was renamed: as they have to read after some renames are undone and others stay."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from cfgaudit.history.change import Change, ChangeKind
from cfgaudit.history.comparing.name_users import (
    NameChange,
    alias_names,
    key_of,
    renamed_text,
    section_names,
    users,
)
from cfgaudit.history.comparing.occurrences import match_places
from cfgaudit.history.comparing.pairing import Pairing
from cfgaudit.history.comparing.touched import touched
from cfgaudit.history.comparing.written import key_of_name, section_of, sections_of, setting_in, setting_of
from cfgaudit.tree.config_tree import Occurrence, Setting


class CalledNames:
    """The names of two states, of whose renames some are undone (``undone``) and others stay."""

    def __init__(self, pairing: Pairing, every: Sequence[Change], undone: Sequence[Change]) -> None:
        self._pairing = pairing
        self._old, self._new = sections_of(pairing.before.tree), sections_of(pairing.after.tree)
        self._every = every
        renamed = [one for one in every if one.kind is ChangeKind.RENAMED]
        self._forward = list(self._names([one for one in renamed if one not in undone], backward=False))
        self._backward = list(self._names([one for one in renamed if one in undone], backward=True))
        self._users_then = users(pairing.before.machine) if self._forward else {}

    def value_then(self, section: str, one: Occurrence) -> str:
        """A value of the section with this old key as it was, what is still renamed by its present name."""
        targets = self._users_then.get((section, key_of_name(one.entry.key)), frozenset())
        meant = [name for name in self._forward if (name.section, name.alias) in targets]
        return renamed_text(one.value, meant) if meant else one.value

    def followers(self) -> Iterator[tuple[Occurrence, str]]:
        """Every present value that names what gets its old name again, and what it then has to be."""
        if not self._backward:
            return
        now = users(self._pairing.after.machine)
        changed = touched((one for one in self._every if one.effective), self._pairing.pairs)
        then = {new: old for old, new in self._pairing.pairs.items()}
        for setting in self._pairing.after.tree.settings():
            section = then.get(key_of(setting)[0], "")
            left = setting_in(self._old.get(section), setting.key)
            known = left if (section, setting.key) not in changed else None
            targets = now.get(key_of(setting), frozenset())
            meant = [name for name in self._backward if (name.section, name.alias) in targets]
            for one, text in self._followed(section, known, setting, meant):
                if text != one.value:
                    yield one, text

    def _followed(
        self, section: str, left: Setting | None, setting: Setting, meant: list[NameChange]
    ) -> Iterator[tuple[Occurrence, str]]:
        """Each place of a setting: as it was where only names differ, else with the names as they were.

        ``left`` is the setting then, if it says the same but for names.
        """
        pairs = match_places(left, setting).pairs if left is not None else ()
        before = {id(new): old for old, new in pairs}
        for one in setting.occurrences:
            old = before.get(id(one))
            text = renamed_text(one.value, self._backward)
            if old is not None and self._is_old_text(section, old, text):
                yield one, old.value
            else:
                yield one, renamed_text(one.value, meant)

    def _is_old_text(self, section: str, old: Occurrence, text: str) -> bool:
        return self.value_then(section, old) == old.value and key_of_name(text) == key_of_name(old.value)

    def _names(self, changes: Iterable[Change], *, backward: bool) -> Iterator[NameChange]:
        before = {one.section.key: one for one in self._pairing.before.reading.sections}
        after = {one.section.key: one for one in self._pairing.after.reading.sections}
        for change in changes:
            if change.before is None or change.after is None:
                continue
            if change.setting:
                old = setting_of(self._old, change.before.settings[0])
                new = setting_of(self._new, change.after.settings[0])
                yield alias_names(new, old) if backward else alias_names(old, new)
            else:
                left = before[section_of(self._old, change.before).key]
                right = after[section_of(self._new, change.after).key]
                yield section_names(right, left) if backward else section_names(left, right)
