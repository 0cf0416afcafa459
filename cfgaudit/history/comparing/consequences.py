"""What changes come to in numbers: every fact that they move, before and after."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from math import isclose
from typing import NamedTuple

from cfgaudit.audit import Audit
from cfgaudit.facts.fact import Amount, Fact, Facts, fact_name
from cfgaudit.history.change import Change, ChangeKind, Consequence, Side
from cfgaudit.machine.model import Machine
from cfgaudit.tree.names import fold_name

NOISE = 1e-9
"""Relative. Floats that differ by less are one number, computed in another order."""
FORMAL = (ChangeKind.RENAMED, ChangeKind.MOVED)
"""What says the same as before moves a fact only where nothing else does."""

Key = tuple[str, str]
"""A setting: its section's and its own name, folded."""


class Moved(NamedTuple):
    """A fact that differs, and the settings that it came from on either side."""

    consequence: Consequence
    old: frozenset[Key]
    new: frozenset[Key]


def with_consequences(changes: Sequence[Change], before: Audit, after: Audit) -> tuple[Change, ...]:
    """The changes, each with the facts that come from its settings and are not what they were.

    A fact that several changes move together hangs on each of them.
    """
    parts = renamed_parts(changes, before.machine, after.machine)
    found: defaultdict[int, list[Consequence]] = defaultdict(list)
    lefts, rights = _by_setting(changes, "before"), _by_setting(changes, "after")
    for moved in moved_facts(before.facts, after.facts, parts):
        for number in _movers(changes, moved, lefts, rights):
            found[number].append(moved.consequence)
    return tuple(one._replace(consequences=tuple(found[number])) for number, one in enumerate(changes))


def _by_setting(changes: Sequence[Change], side: str) -> Mapping[Key, Sequence[int]]:
    """The numbers of the changes that have a setting on one side."""
    table: defaultdict[Key, list[int]] = defaultdict(list)
    for number, change in enumerate(changes):
        if change.effective:
            for key in _keys(change.before if side == "before" else change.after):
                table[key].append(number)
    return table


def _keys(side: Side | None) -> Iterator[Key]:
    for one in side.settings if side is not None else ():
        yield fold_name(one.section), fold_name(one.setting)


def _movers(
    changes: Sequence[Change],
    moved: Moved,
    lefts: Mapping[Key, Sequence[int]],
    rights: Mapping[Key, Sequence[int]],
) -> Sequence[int]:
    """The changes that may have moved a fact, in their order."""
    old = {number for key in moved.old for number in lefts.get(key, ())}
    new = {number for key in moved.new for number in rights.get(key, ())}
    every = sorted(old | new)
    return [number for number in every if changes[number].kind not in FORMAL] or every


def moved_facts(before: Facts, after: Facts, parts: Mapping[str, str]) -> Iterator[Moved]:
    """Every fact that differs, that came or that went. ``parts`` as `renamed_parts` has them."""
    old = _numbered((_name_now(one.name, parts), one) for one in before.facts)
    new = _numbered((one.name, one) for one in after.facts)
    for key in {**new, **old}:
        left, right = old.get(key), new.get(key)
        if left is None or right is None or not _same(left, right):
            yield _moved(left, right)


def _name_now(name: str, parts: Mapping[str, str]) -> str:
    head, dot, quantity = name.rpartition(".")
    return parts.get(head + dot, head + dot) + quantity


def _moved(left: Fact | None, right: Fact | None) -> Moved:
    shown = right or left
    assert shown is not None
    values = left.value if left is not None else None, right.value if right is not None else None
    return Moved(Consequence(shown.name, shown.unit, *values), _origin(left), _origin(right))


def _origin(fact: Fact | None) -> frozenset[Key]:
    origin = fact.origin if fact is not None else ()
    return frozenset((fold_name(one.setting.section), one.setting.key) for one in origin)


def _numbered(facts: Iterable[tuple[str, Fact]]) -> dict[tuple[str, int], Fact]:
    """Facts by name; those of parts that share a name are counted."""
    met: defaultdict[str, int] = defaultdict(int)
    found = {}
    for name, fact in facts:
        found[name, met[name]] = fact
        met[name] += 1
    return found


def _same(left: Fact, right: Fact) -> bool:
    return left.unit == right.unit and same_amounts(left.value, right.value)


def same_amounts(left: Amount, right: Amount) -> bool:
    """Whether two amounts are the same but for the noise of computing with floats."""
    if isinstance(left, tuple) and isinstance(right, tuple):
        return len(left) == len(right) and all(map(same_amounts, left, right))
    if isinstance(left, tuple) or isinstance(right, tuple):
        return False
    return isclose(left, right, rel_tol=NOISE, abs_tol=NOISE)


def renamed_parts(changes: Iterable[Change], before: Machine, after: Machine) -> Mapping[str, str]:
    """How the names of facts begin (all up to the quantity) for parts of renamed sections, and begin now."""
    sections = {
        fold_name(one.before.section): fold_name(one.after.section)
        for one in changes
        if one.kind is ChangeKind.RENAMED and not one.setting and one.before and one.after
    }
    if not sections:
        return {}
    now = {(part.section.key, part.kind): fact_name(part, "") for part in after.parts}
    names = ((fact_name(part, ""), (sections.get(part.section.key, ""), part.kind)) for part in before.parts)
    return {old: now[key] for old, key in names if key in now}
