"""Two machines to their differences. Entry point: `compare_machines`."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import NamedTuple

from cfgaudit.checks.finding import Severity, Subject
from cfgaudit.history.change import Change
from cfgaudit.history.comparing.change_maker import ChangeMaker
from cfgaudit.history.comparing.merges import Merges
from cfgaudit.history.comparing.pairing import Couple, Loose, Pairing, pair_machines
from cfgaudit.history.comparing.renames import moved_settings, renamed_settings, replaced_settings
from cfgaudit.history.comparing.sides import side_of, side_of_section
from cfgaudit.vocabulary.reading import SectionReading

__all__ = ["compare_machines", "side_of", "side_of_section"]

CONCERNS = ("heat", "motion", "probing", "wiring", "link", "reference", "macro", "structure")
"""The order of concerns that are equally grave."""

OfSection = Callable[[SectionReading, set[int], bool], Change]
OfSetting = Callable[[Loose, bool], Change]


def compare_machines(before: Subject, after: Subject) -> tuple[Change, ...]:
    """Every difference that is one: by concern, the gravest first; without consequences and commits."""
    pairing = pair_machines(before, after)
    files = [*after.tree.documents, *before.tree.documents]
    return in_order(_Comparison(pairing).changes(), files)


def in_order(changes: Iterable[Change], files: Iterable[str]) -> tuple[Change, ...]:
    """Concerns by their gravest change, in each the gravest first, equal ones as they stand in the files."""
    every = list(changes)
    ranks = {file: rank for rank, file in reversed(list(enumerate(files)))}
    worst: dict[str, int] = {}
    for one in every:
        worst[one.concern] = min(worst.get(one.concern, len(Severity)), one.severity.rank)

    def key(one: Change) -> tuple[int, int, int, int, int, int]:
        side = one.after or one.before
        place = side.where if side is not None else None
        file = ranks.get(place.file, len(ranks)) if place is not None else 0
        line, column = (place.line, place.column) if place is not None else (0, 0)
        concern = CONCERNS.index(one.concern) if one.concern in CONCERNS else len(CONCERNS)
        return (worst[one.concern], concern, one.severity.rank, file, line, column)

    return tuple(sorted(every, key=key))


class _Comparison:
    """One comparison. What only one side has is collected, for it may be found elsewhere."""

    def __init__(self, pairing: Pairing) -> None:
        self._pairing = pairing
        self._make = ChangeMaker(pairing)
        self._gone: list[Loose] = []
        self._came: list[Loose] = []

    def changes(self) -> Iterator[Change]:
        for before, after in self._pairing.matched():
            if before.section.key != after.section.key:
                yield self._make.renamed_section(before, after)
            yield from self._within(before, after)
        yield from self._rest()

    def _within(self, before: SectionReading, after: SectionReading) -> Iterator[Change]:
        """The changes inside a section that both have."""
        old = {one.setting.key: one for one in before.readings}
        new = {one.setting.key: one for one in after.readings}
        for key, left in old.items():
            right = new.get(key)
            if right is None:
                continue
            same = self._pairing.same(left, right)
            if not same:
                yield self._make.changed(Couple(left, right, before, after))
            if len(left.setting.occurrences) > 1 or len(right.setting.occurrences) > 1:
                yield from self._make.shadowed(Couple(left, right, before, after))
        gone = [Loose(before, one) for key, one in old.items() if key not in new]
        came = [Loose(after, one) for key, one in new.items() if key not in old]
        yield from self._under_another_key(gone, came)

    def _under_another_key(self, gone: list[Loose], came: list[Loose]) -> Iterator[Change]:
        if gone and came:
            renamed = list(renamed_settings(gone, came, self._pairing))
            yield from (self._make.renamed(one) for one in renamed)
            gone, came = _without(gone, came, renamed)
            replaced = list(replaced_settings(gone, came))
            yield from (self._make.changed(one) for one in replaced)
            gone, came = _without(gone, came, replaced)
        self._gone += gone
        self._came += came

    def _rest(self) -> Iterator[Change]:
        """What moved between sections; then what only one side has, sections first."""
        sections_gone, sections_came = list(self._pairing.gone()), list(self._pairing.came())
        gone = self._gone + [Loose(one, inner, True) for one in sections_gone for inner in one.readings]
        came = self._came + [Loose(one, inner, True) for one in sections_came for inner in one.readings]
        moved = list(moved_settings(gone, came, self._pairing, self._make.is_grave))
        yield from (self._make.moved(one) for one in moved)
        gone, came = _without(gone, came, moved)
        yield from self._lone(
            _Side(sections_gone, gone, self._merges(sections_gone, moved, before=True)),
            self._make.removed_section,
            self._make.removed,
        )
        yield from self._lone(
            _Side(sections_came, came, self._merges(sections_came, moved, before=False)),
            self._make.added_section,
            self._make.added,
        )

    def _lone(self, side: _Side, of_section: OfSection, of_setting: OfSetting) -> Iterator[Change]:
        """What one side alone has: sections, then settings of sections that both have."""
        left_over = {id(one.reading) for one in side.loose}
        for section in side.sections:
            yield of_section(section, left_over, side.merges.is_merged(section))
        for one in side.loose:
            if not one.whole:
                yield of_setting(one, side.merges.is_link(one))

    def _merges(self, lone: list[SectionReading], moved: list[Couple], *, before: bool) -> Merges:
        if before:
            ends = [(one.before, one.after) for one in moved]
            return Merges(lone, ends, {id(one.left) for one in moved}, self._pairing.old)
        ends = [(one.after, one.before) for one in moved]
        return Merges(lone, ends, {id(one.right) for one in moved}, self._pairing.new)


class _Side(NamedTuple):
    """What only one of the two machines has."""

    sections: list[SectionReading]
    loose: list[Loose]
    merges: Merges


def _without(
    gone: list[Loose], came: list[Loose], couples: Iterable[Couple]
) -> tuple[list[Loose], list[Loose]]:
    taken = {id(one.left) for one in couples} | {id(one.right) for one in couples}
    left = [one for one in gone if id(one.reading) not in taken]
    return left, [one for one in came if id(one.reading) not in taken]
