"""Was the upgrade worth it? What changed of what was measured, and every quantity before and after."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from types import MappingProxyType
from typing import NamedTuple

from cfgaudit.evidence.comparing.comparison import compare_evidence
from cfgaudit.evidence.comparing.quantity import Quantity
from cfgaudit.evidence.comparing.sides import Span, measured_since
from cfgaudit.evidence.records.dependencies import settings_digest
from cfgaudit.evidence.records.read import read_evidence
from cfgaudit.evidence.records.record import Evidence, MeasurementKind
from cfgaudit.evidence.records.staleness import outdated_results, stale_records
from cfgaudit.facts.axis_limits import limit_of
from cfgaudit.history.change import Change, Revision
from cfgaudit.history.measured_parts import Subject, touching
from cfgaudit.history.review import review
from cfgaudit.history.states.marks import nearest_mark
from cfgaudit.history.states.snapshot import Snapshot
from cfgaudit.history.states.states import States
from cfgaudit.machine.model import Machine
from cfgaudit.source import SourceError

CEILING = "acceleration ceiling"
FREQUENCY = "natural frequency"


class Acceleration(NamedTuple):
    """What an axis that was measured on both sides is configured for, in mm/s²; None if nothing says it."""

    axis: str
    before: float | None
    after: float | None
    ceiling: Quantity | None
    """What was measured, if it was."""


class Upgrade(NamedTuple):
    """Two states of a machine side by side: what ``compare`` reports."""

    main: str
    before: Revision
    after: Revision
    changes: tuple[Change, ...]
    """Those that touch what was measured."""
    others: int
    """How many changes do not."""
    quantities: tuple[Quantity, ...]
    accelerations: tuple[Acceleration, ...]
    stale: Mapping[str, tuple[str, ...]]
    """Why records do not hold for the state that they stand for, by their files."""
    broken: int
    """How many files among the evidence are no records."""
    anew: Mapping[tuple[str, str], tuple[str, ...]] = MappingProxyType({})
    """By a record's file and a result's name: what that is about, and is chosen otherwise in the state that
    it stands for, though the record holds."""

    def reasons(self, file: str, result: str) -> tuple[str, ...]:
        """Why a result does not hold for the state that it stands for."""
        return (*self.stale.get(file, ()), *self.anew.get((file, result), ()))


def evidence_of(states: States) -> Evidence:
    """What was measured of a machine, as the files on disk tell: later records tell of earlier states too."""
    return read_evidence(states.working_tree().source, (states.main,), states.now)


def default_states(states: States, evidence: Evidence) -> tuple[Snapshot, Snapshot]:
    """What to compare where nothing is named.

    The last mark and the working tree if anything was measured since: the upgrade is not marked yet. Else the
    last mark but one and the last; the last and the working tree where there is but one. Raises SourceError
    where there is none.
    """
    last = states.last_mark()
    others = [one for one in states.marks(states.repository.head()) if one.name != last.name]
    if not others or measured_since(evidence, last.date):
        return states.at(f"refs/tags/{last.name}"), states.working_tree()
    older = nearest_mark(states.repository, others)
    return states.at(f"refs/tags/{older.name}"), states.at(f"refs/tags/{last.name}")


def judge_upgrade(states: States, evidence: Evidence, before: Snapshot, after: Snapshot) -> Upgrade:
    """What changed, and what was measured, from one state to another.

    Raises SourceError if the main file of one of them cannot be had, or if nothing says when it was so.
    """
    since, until = _date(before.revision), _date(after.revision)
    if since is None:
        raise SourceError("the working tree has no state before it: name a mark or a commit as FROM")
    found = review(states, before, after)
    old, new = states.subject(before), states.subject(after)
    quantities = compare_evidence(evidence, Span(since, until, settings_digest(old.tree)))
    subjects = dict.fromkeys(Subject(one.kind, one.part) for one in quantities)
    stale, anew = _outdated(quantities, evidence, since, until, old.machine, new.machine)
    changes = tuple(touching(found.changes, subjects, old.machine, new.machine))
    return Upgrade(
        found.main,
        found.before,
        found.after,
        changes,
        len(found.changes) - len(changes),
        quantities,
        tuple(_accelerations(quantities, old.machine, new.machine)),
        stale,
        len(evidence.broken),
        anew,
    )


def _date(revision: Revision) -> datetime | None:
    """When a state was marked or committed; None for the working tree, which is now."""
    if revision.commit is not None and revision.date is None:
        raise SourceError(f"{revision.label} says no date, so nothing can be measured before it: name a mark")
    return revision.date


def _accelerations(quantities: Iterable[Quantity], old: Machine, new: Machine) -> Iterator[Acceleration]:
    by_part: dict[str, dict[str, Quantity]] = {}
    for one in quantities:
        if one.kind is MeasurementKind.RESONANCE and one.before is not None and one.after is not None:
            by_part.setdefault(one.part, {})[one.name] = one
    for part, named in by_part.items():
        letter = part.rpartition(" ")[2].casefold()
        before, after = _configured(old, letter), _configured(new, letter)
        if (CEILING in named or FREQUENCY in named) and (before, after) != (None, None):
            yield Acceleration(part, before, after, named.get(CEILING))


def _configured(machine: Machine, letter: str) -> float | None:
    limit = limit_of(machine.axis(letter), "accel.max")
    return None if limit is None else limit.amount


def _outdated(
    quantities: Iterable[Quantity],
    evidence: Evidence,
    since: datetime,
    until: datetime | None,
    old: Machine,
    new: Machine,
) -> tuple[Mapping[str, tuple[str, ...]], Mapping[tuple[str, str], tuple[str, ...]]]:
    """Each side's records held against the settings of its own state, and the hardware as it was then.

    Why records are stale, by file; and why single results of them are of another choice, by file and name.
    """
    quantities = tuple(quantities)
    stale: dict[str, tuple[str, ...]] = {}
    anew: dict[tuple[str, str], tuple[str, ...]] = {}
    for machine, end, after in ((old, since, False), (new, until, True)):
        sides = (one.after if after else one.before for one in quantities)
        files = {record.file for side in sides if side is not None for record in side.records}
        known = Evidence(
            tuple(one for one in evidence.records if end is None or one.date <= end or one.file in files)
        )
        stale |= {
            one.record.file: one.reasons for one in stale_records(known, machine) if one.record.file in files
        }
        for one in outdated_results(known, machine):
            if one.record.file in files:
                anew |= {(one.record.file, name): one.reasons for name in one.results}
    return stale, anew
