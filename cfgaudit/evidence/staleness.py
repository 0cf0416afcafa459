"""Whether a record still holds: what it depends on is as it was, and no hardware was changed since."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from fnmatch import fnmatchcase

from cfgaudit.evidence.dependencies import dependencies
from cfgaudit.evidence.record import DependedOn, Evidence, MeasurementKind, Record, Staleness
from cfgaudit.history.forms import equal_values
from cfgaudit.machine.model import Machine
from cfgaudit.tree.names import fold_name

Suits = Callable[[DependedOn, DependedOn], bool]


def stale_records(evidence: Evidence, machine: Machine) -> tuple[Staleness, ...]:
    """The records that no longer hold, newest first, each with every reason."""
    found = ((record, tuple(_reasons(record, evidence, machine))) for record in evidence.records)
    return tuple(Staleness(record, reasons) for record, reasons in found if reasons)


def holding(evidence: Evidence, machine: Machine, kind: MeasurementKind, part: str) -> Record | None:
    """The newest record of a kind and part, if it still holds: an older one says nothing that it does not."""
    newest = next((one for one in evidence.records if one.kind is kind and same_part(one.part, part)), None)
    return None if newest is None or any(_reasons(newest, evidence, machine)) else newest


def same_part(left: str, right: str) -> bool:
    """Whether two texts name the same part."""
    return fold_name(left) == fold_name(right)


def _reasons(record: Record, evidence: Evidence, machine: Machine) -> Iterator[str]:
    yield from _declared(record, evidence)
    if record.depends:
        yield from _changed(record.depends, dependencies(record.kind, record.part, machine))


def _declared(record: Record, evidence: Evidence) -> Iterator[str]:
    for one in evidence.of(MeasurementKind.HARDWARE):
        if one.date > record.date and any(affects_part(pattern, record.part) for pattern in one.affects):
            yield f"{one.part} was declared on {one.date.date().isoformat()}"


def affects_part(pattern: str, part: str) -> bool:
    """Whether a pattern (``axis.x``, ``axis x``, ``axis.*``) means a part (``axis x``)."""
    return fnmatchcase(fold_name(part), fold_name(pattern))


def _changed(then: Iterable[DependedOn], now: Iterable[DependedOn]) -> Iterator[str]:
    """Settings are followed by what they do, so a renamed section or setting is no change."""
    left = list(now)
    changed = [old for old in then if _take(old, left, _same) is None]
    for old in changed:
        other = _take(old, left, _does_the_same)
        if other is None:
            yield f"[{old.section}] {old.setting} was {old.value} and is gone"
        else:
            yield f"[{other.section}] {other.setting} was {old.value} and is {other.value} now"
    for new in left:
        yield f"[{new.section}] {new.setting} is new, {new.value}"


def _take(old: DependedOn, left: list[DependedOn], suits: Suits) -> DependedOn | None:
    """The setting of today that suits one of then, taken out; of several the one in the same section."""
    able = [one for one in left if suits(old, one)]
    at_home = (one for one in able if fold_name(one.section) == fold_name(old.section))
    taken = next(at_home, able[0] if able else None)
    if taken is not None:
        left.remove(taken)
    return taken


def _same(then: DependedOn, now: DependedOn) -> bool:
    return _does_the_same(then, now) and equal_values(then.value, now.value, then.role)


def _does_the_same(then: DependedOn, now: DependedOn) -> bool:
    return (then.role, then.axis) == (now.role, now.axis)
