"""Whether a record still holds: what it depends on is as it was, and no hardware was changed since."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fnmatch import fnmatchcase
from functools import cached_property, lru_cache
from typing import NamedTuple

from cfgaudit.evidence.records.chosen import chosen_now, roles_of_choice
from cfgaudit.evidence.records.dependencies import (
    Dependency,
    axis_letter,
    dependencies_now,
    kinds_that_depend,
    parts_of_kind,
    settings_digest,
)
from cfgaudit.evidence.records.pairing import Pair, changes, pairs, same_value
from cfgaudit.evidence.records.record import Evidence, MeasurementKind, Outdated, Record, Staleness
from cfgaudit.evidence.records.rereading import Rereading
from cfgaudit.machine.model import Machine
from cfgaudit.syntax.document import Place
from cfgaudit.tree.names import fold_name

LASTING = (MeasurementKind.HARDWARE, MeasurementKind.HOURS)
"""What no later change makes wrong."""
HELD = 4
"""Machines for which it is remembered what holds: two states are compared, and are looked at in turn."""
GONE = "is gone"
MAYBE_UNREAD = "is gone, or no longer understood (cfgaudit roles --unknown)"
NOT_SEEN = "when this was measured it was not there, or not understood"


class Reason(NamedTuple):
    """Why a record no longer holds, as one clause, and the setting that is another one now."""

    told: str
    place: Place | None = None
    role: str = ""
    """Of that setting."""


def stale_records(
    evidence: Evidence, machine: Machine, records: Iterable[Record] | None = None
) -> tuple[Staleness, ...]:
    """The records that no longer hold, of ``records`` or of all, newest first, each with every reason."""
    today = held_against(evidence, machine)
    found = ((one, today.reasons(one)) for one in (evidence.records if records is None else records))
    return tuple(_staleness(record, reasons) for record, reasons in found if reasons)


def _staleness(record: Record, reasons: tuple[Reason, ...]) -> Staleness:
    places = dict.fromkeys(one.place for one in reasons if one.place is not None)
    return Staleness(record, tuple(one.told for one in reasons), tuple(places))


def outdated_results(evidence: Evidence, machine: Machine) -> tuple[Outdated, ...]:
    """The records with results about a shaper or gains that are others now, newest first."""
    today = held_against(evidence, machine)
    found = ((record, tuple(today.outdated(record))) for record in evidence.records)
    outdated = (_outdated(record, reasons) for record, reasons in found if reasons)
    return tuple(one for one in outdated if one.results)


def _outdated(record: Record, reasons: tuple[Reason, ...]) -> Outdated:
    about, anew = roles_of_choice(record.kind), {one.role for one in reasons}
    names = tuple(one.name for one in record.results if not anew.isdisjoint(about.get(one.name, ())))
    return Outdated(record, names, tuple(one.told for one in reasons))


def holding(evidence: Evidence, machine: Machine, kind: MeasurementKind, part: str) -> Record | None:
    """The newest record of a kind and part, if it still holds: an older one says nothing that it does not.

    A record with doubts counts as not measured.
    """
    if not evidence.of(kind):
        return None
    today = held_against(evidence, machine)
    newest = today.newest(kind, part)
    return None if newest is None or today.reasons(newest) else newest


@lru_cache(maxsize=HELD)
def held_against(evidence: Evidence, machine: Machine) -> Today:
    """All records against a machine: worked out once, for every rule asks."""
    return Today(evidence, machine)


def same_part(left: str, right: str) -> bool:
    """Whether two texts name the same part."""
    return fold_name(left) == fold_name(right)


def affects_part(pattern: str, part: str) -> bool:
    """Whether a pattern (``axis.x``, ``axis x``, ``axis.*``) means a part (``axis x``)."""
    return fnmatchcase(fold_name(part), fold_name(pattern))


class Today:
    """Records held against the machine as it is now."""

    def __init__(self, evidence: Evidence, machine: Machine) -> None:
        self._evidence = evidence
        self._machine = machine
        self._names: dict[int, str | None] = {}
        self._now: dict[tuple[MeasurementKind, str], tuple[Dependency, ...]] = {}
        self._reasons: dict[int, tuple[Reason, ...]] = {}

    def reasons(self, record: Record) -> tuple[Reason, ...]:
        """Every reason why one of the records no longer holds: declared changes first, then settings."""
        if id(record) not in self._reasons:
            self._reasons[id(record)] = tuple(self._all_reasons(record))
        return self._reasons[id(record)]

    def _all_reasons(self, record: Record) -> Iterator[Reason]:
        if record.kind in LASTING:
            return
        yield from self._declared(record)
        changed = tuple(self._changed(record)) if record.depends else ()
        if changed and record.digest != self._digest:  # else it is only read in another way than then
            yield from changed

    def newest(self, kind: MeasurementKind, part: str) -> Record | None:
        """The newest sure record of a part of today's, whatever it was called then."""
        found = [one for one in self._evidence.newest_sure(kind) if self._is_of(one, part)]
        return max(found, key=lambda one: one.date, default=None)

    def _is_of(self, record: Record, part: str) -> bool:
        return same_part(record.part, part) or same_part(self.name(record) or record.part, part)

    def name(self, record: Record) -> str | None:
        """What the record's part is called now; None where it is gone."""
        if id(record) not in self._names:
            self._names[id(record)] = self._name(record)
        return self._names[id(record)]

    def outdated(self, record: Record) -> Iterator[Reason]:
        """What is chosen otherwise than when it was measured, though the record holds."""
        name = self.name(record)
        if record.chosen and name is not None and record.digest != self._digest:
            for pair in changes(record.chosen, chosen_now(record.kind, name, self._machine), {}):
                yield _reason(pair)

    @cached_property
    def _digest(self) -> str:
        return settings_digest(self._machine.reading.tree)

    @cached_property
    def _rereading(self) -> Rereading:
        return Rereading(self._machine)

    def _declared(self, record: Record) -> Iterator[Reason]:
        for one in self._evidence.of(MeasurementKind.HARDWARE):
            if one.date > record.date and any(affects_part(pattern, record.part) for pattern in one.affects):
                yield Reason(f"{one.part}, declared on {one.date.date().isoformat()}")

    def _changed(self, record: Record) -> Iterator[Reason]:
        name = self.name(record)
        if name is None:
            yield Reason(f"{record.part} is gone")
            return
        depends = kinds_that_depend()[record.kind]
        then = [one for one in record.depends if depends.counts(one.role, one.axis)]
        for pair in changes(then, self._dependencies(record.kind, name), depends.within):
            if not self._rereading.explains(pair, then, record.unread):
                yield _reason(pair, self._gone(pair, record.unread))

    def _gone(self, pair: Pair, unread: str) -> str:
        """What is said of a setting that is not found."""
        if pair.then is None or pair.now is not None or not self._rereading.may_be_unread(pair.then, unread):
            return GONE
        return MAYBE_UNREAD

    def _name(self, record: Record) -> str | None:
        depends = kinds_that_depend().get(record.kind)
        if depends is None or depends.of == "axes":
            return record.part
        if depends.of == "axis":
            return record.part if axis_letter(record.part) in self._machine.index.letters else None
        if parts_of_kind(depends.of, record.part, self._machine):
            return record.part
        return self._renamed(record, depends.of)

    def _renamed(self, record: Record, kind: str) -> str | None:
        """The only part of the kind, or the one whose settings are the most like those of then."""
        titles = [one.title for one in self._machine.kind(kind)]
        if len(titles) <= 1:
            return titles[0] if titles else None
        *_, second, best = sorted((self._likeness(record, title), title) for title in titles)
        return best[1] if best[0] > second[0] and 2 * best[0] >= len(record.depends) else None

    def _likeness(self, record: Record, title: str) -> int:
        """How many settings are as they were."""
        paired = pairs(record.depends, self._dependencies(record.kind, title))
        return sum(bool(one.then and one.now and same_value(one.then, one.now.on, {})) for one in paired)

    def _dependencies(self, kind: MeasurementKind, part: str) -> tuple[Dependency, ...]:
        key = kind, fold_name(part)
        if key not in self._now:
            self._now[key] = dependencies_now(kind, part, self._machine)
        return self._now[key]


def _reason(pair: Pair, gone: str = GONE) -> Reason:
    then, now = pair
    if now is None:
        assert then is not None
        return Reason(f"[{then.section}] {then.setting} was {then.value} and {gone}", role=then.role)
    # what a later vocabulary understands may have stood there as well
    what = f"is {now.on.value}; {NOT_SEEN}" if then is None else f"was {then.value} and is {now.on.value} now"
    return Reason(f"[{now.on.section}] {now.on.setting} {what}", now.meaning.place, now.on.role)
