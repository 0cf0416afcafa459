"""From changes to the texts in which they are undone. Entry point: `plan_restore`."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from cfgaudit.checks.finding import Subject
from cfgaudit.history.change import Change, ChangeKind
from cfgaudit.history.comparing.occurrences import Places, effective_of, match_places
from cfgaudit.history.comparing.pairing import pair_machines
from cfgaudit.history.comparing.written import (
    key_of_name,
    occurrence_of,
    section_of,
    sections_of,
    setting_in,
    setting_of,
)
from cfgaudit.history.restoring.called import CalledNames
from cfgaudit.history.restoring.drafts import Drafts
from cfgaudit.history.restoring.putting_back import Returns
from cfgaudit.syntax.dialect import DETECT, Traits
from cfgaudit.syntax.edits import EditError
from cfgaudit.tree.config_tree import Occurrence, Section, Setting


class RestoreError(ValueError):
    """What cannot be put back; the message is one line that says why and what to do."""


class Restoration(NamedTuple):
    """What is put back, and the new content of every file that changes for it."""

    changes: tuple[Change, ...]
    files: Mapping[str, bytes]


def plan_restore(
    changes: Iterable[Change],
    before: Subject,
    after: Subject,
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
        return Restoration(plan.restored(), plan.drafts.texts())
    except EditError as error:
        raise RestoreError(f"{error}: put it back by hand") from error


def with_companions(changes: Iterable[Change], every: Sequence[Change]) -> tuple[Change, ...]:
    """The changes, and what moved out of or into the sections that they put back or take away."""
    chosen = list(changes)
    back = {one.before.section for one in chosen if one.before and is_whole(one, ChangeKind.REMOVED)}
    away = {one.after.section for one in chosen if one.after and is_whole(one, ChangeKind.ADDED)}
    for one in every:
        if one.kind is not ChangeKind.MOVED or one.before is None or one.after is None:
            continue
        if one not in chosen and (one.before.section in back or one.after.section in away):
            chosen.append(one)
    return tuple(chosen)


def is_whole(change: Change, kind: ChangeKind) -> bool:
    """Whether a section as a whole came or went."""
    return change.kind is kind and not change.setting


class _Plan:
    """One plan: of two edits of one value the one that makes it count wins, then the first."""

    def __init__(
        self,
        selected: Sequence[Change],
        before: Subject,
        after: Subject,
        every: Sequence[Change],
        traits: Traits,
    ) -> None:
        self._selected = selected
        self._pairs = pair_machines(before, after)
        self._old, self._new = sections_of(before.tree), sections_of(after.tree)
        self._called = CalledNames(self._pairs, every, selected)
        self.drafts = Drafts(after.tree.documents, traits)
        self._returns = Returns(self.drafts, before.tree, after.tree, self._now, self._called.value_then)
        self._left_out: list[Change] = []
        """Those without effect whose place is no more."""
        self._aligned: set[int] = set()
        """Settings of which every place is put back."""
        self._whole = {
            key_of_name(one.before.section)
            for one in selected
            if one.before is not None and is_whole(one, ChangeKind.REMOVED)
        }

    def draw(self) -> None:
        """Collect every edit. Raises EditError, RestoreError."""
        for one in sorted((one for one in self._selected if one.effective), key=_where_it_stood):
            self._put_back(one)
        for one in self._selected:
            if not one.effective:
                self._put_shadowed_back(one)
        for place, text in self._called.followers():
            self.drafts.value(place, text)
        self._returns.finish()
        self._spare_headers()

    def _spare_headers(self) -> None:
        """Where a section has more headers than it had, those that nothing is left below may go."""
        for old, new in self._pairs.pairs.items():
            then, now = self._old[old].openings, self._new[new].openings
            if len(now) > len(then):
                self.drafts.spare(now, len(now) - len(then))

    def _put_back(self, change: Change) -> None:
        left, right = change.before, change.after
        if not change.setting:
            self._section(
                section_of(self._old, left) if left is not None else None,
                section_of(self._new, right) if right is not None else None,
            )
        elif right is None and left is not None:
            self._give_back(setting_of(self._old, left.settings[0]))
        elif right is not None and left is None:
            self._drop(setting_of(self._new, right.settings[0]))
        elif right is not None and left is not None:
            self._setting(setting_of(self._old, left.settings[0]), setting_of(self._new, right.settings[0]))

    def _section(self, left: Section | None, right: Section | None) -> None:
        if left is None and right is not None:
            for opening in right.openings:
                self.drafts.remove_section(opening)
            for setting in right.settings:
                self._drop(setting)
        elif left is not None and right is None:
            self._returns.section(left)
        elif left is not None and right is not None:
            names = [one.header.name for one in left.openings]
            for rank, opening in enumerate(right.openings):
                self.drafts.rename(opening, names[min(rank, len(names) - 1)])

    def _setting(self, left: Setting, right: Setting) -> None:
        """A setting of both states, in one section or moved to another."""
        old, new = key_of_name(left.section), key_of_name(right.section)
        if old != new and self._pairs.pairs.get(old) != new:
            self._drop(right)
            if old not in self._whole:
                self._give_back(left)
            return
        if left.key != right.key:
            for one in right.occurrences:
                self.drafts.key(one, left.effective.entry.key)
        if left.value != right.value:
            self._value(left, right)

    def _value(self, left: Setting, right: Setting) -> None:
        """Every place of a setting as it was, so that the value which counted then counts again."""
        places, section = match_places(left, right), key_of_name(left.section)
        self._aligned.add(id(left))
        for one in places.gone:
            if one is not left.effective or self._returns.has_home(section, one):
                self._return(left, one)
        if left.effective not in places.gone or not self._returns.has_home(section, left.effective):
            self._make_count(left, right, places)
        for old, new in places.pairs:
            self.drafts.value(new, self._called.value_then(section, old))
        for one in places.came:
            self.drafts.remove(one)

    def _make_count(self, left: Setting, right: Setting, places: Places) -> None:
        """The value that counted goes where a value counts once what came is gone, whatever stood there.

        Where it stood over one that is still in its file, its section is opened again in its own.
        """
        section, wanted = key_of_name(left.section), left.effective
        old = {id(new): old for old, new in places.pairs}
        counting = effective_of([one for one in right.occurrences if id(one) in old])
        if counting is None:
            self._returns.entry(section, wanted)
            return
        below = old[id(counting)]
        stays = below is not wanted and below.document.path == counting.document.path
        if stays and self._returns.has_file(wanted):
            self._returns.reopen(section, wanted)
        else:
            self.drafts.value(counting, self._called.value_then(section, wanted))

    def _drop(self, setting: Setting) -> None:
        for one in setting.occurrences:
            self.drafts.remove(one)

    def _give_back(self, setting: Setting) -> None:
        """The value that counted, where its section is now, and those it stood over, where they were."""
        section = key_of_name(setting.section)
        for one in setting.occurrences:
            stood_over = len(setting.occurrences) > 1
            if not (stood_over and self._return(setting, one)) and one is setting.effective:
                self._returns.entry(section, one)

    def _return(self, setting: Setting, one: Occurrence) -> bool:
        """One of several places of a setting, if there still is such a place; whether there is."""
        section = key_of_name(setting.section)
        if self._returns.has_home(section, one):
            self._returns.entry(section, one)
        elif self._returns.has_file(one) and self._counts_where_it_did(setting):
            self._returns.reopen(section, one)
        else:
            return False
        return True

    def _counts_where_it_did(self, setting: Setting) -> bool:
        """Whether the value that counts is in the file it was in; else nobody knows what stands over what."""
        now = self._now(key_of_name(setting.section))
        right = setting_in(now, setting.key)
        return right is None or self._returns.is_file_of(right.effective.document.path, setting.effective)

    def _put_shadowed_back(self, change: Change) -> None:
        """A value without effect, in its own place."""
        left = self._setting_then(change)
        if left is None or id(left) in self._aligned:
            return
        section = key_of_name(left.section)
        old = occurrence_of(self._old, change.before) if change.before is not None else None
        new = self._place_now(left, change) if change.after is not None else None
        if old is not None and new is not None:
            self.drafts.value(new, self._called.value_then(section, old))
        elif new is not None:
            self.drafts.remove(new)
        elif old is not None and not self._return(left, old):
            self._left_out.append(change)

    def restored(self) -> tuple[Change, ...]:
        """The changes that are undone. Raises RestoreError if none is."""
        done = tuple(one for one in self._selected if one not in self._left_out)
        if self._left_out and not done:
            one = self._left_out[0]
            where = one.before.where.file if one.before is not None else ""
            raise RestoreError(
                f"{one.address}: {where} has no place for its value without effect any more: put it back "
                "by hand"
            )
        return done

    def _setting_then(self, change: Change) -> Setting | None:
        """The old setting of a change without effect."""
        if change.before is not None:
            return setting_of(self._old, change.before.settings[0])
        section = key_of_name(change.section)
        then = next((old for old, new in self._pairs.pairs.items() if new == section), section)
        return setting_in(self._old.get(then), key_of_name(change.setting))

    def _place_now(self, left: Setting, change: Change) -> Occurrence:
        """The present place; of several that say the same the one that no old place is like."""
        assert change.after is not None
        right = setting_of(self._new, change.after.settings[0])
        here = occurrence_of(self._new, change.after)
        came = [one for one in match_places(left, right).came if one.value == here.value]
        alike = [one for one in came if one.author == here.author]
        return here if here in alike or not alike else alike[0]

    def _now(self, old: str) -> Section | None:
        """Today's section of an old one's key."""
        return self._new.get(self._pairs.pairs.get(old, old))


def _where_it_stood(change: Change) -> tuple[str, int, int]:
    side = change.before or change.after
    return (side.where.file, side.where.line, side.where.column) if side is not None else ("", 0, 0)
