"""The settings of then and of now, paired by what they do: a new name or another place is no change."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping
from typing import NamedTuple

from cfgaudit.evidence.records.dependencies import Dependency
from cfgaudit.evidence.records.record import DependedOn
from cfgaudit.machine.forms import equal_values, text_value
from cfgaudit.syntax.units import amount_as
from cfgaudit.syntax.value import Number, Text
from cfgaudit.tree.names import fold_name
from cfgaudit.vocabulary.catalogue import ROLES

Key = Callable[[DependedOn], Hashable]
KEYS: tuple[Key, ...] = (
    lambda one: (one.role, one.axis, fold_name(one.section), fold_name(one.setting)),
    lambda one: (one.role, one.axis, fold_name(one.section)),
    lambda one: (one.role, one.axis, fold_name(one.value)),
    lambda one: (one.role, one.axis),
)
"""By what two settings are taken for one, the surest first."""


class Pair(NamedTuple):
    """One setting then and now; None where it is missing."""

    then: DependedOn | None
    now: Dependency | None


def changes(
    then: Iterable[DependedOn], now: Iterable[Dependency], within: Mapping[str, float]
) -> Iterator[Pair]:
    """What is another value now, what is gone, and what is new, in the order of then."""
    for pair in pairs(then, now):
        if pair.then is None or pair.now is None or not same_value(pair.then, pair.now.on, within):
            yield pair


def pairs(then: Iterable[DependedOn], now: Iterable[Dependency]) -> Iterator[Pair]:
    """Every setting of then with what it is now, then those that are new."""
    old, left = list(then), list(now)
    partner: dict[int, Dependency] = {}
    for key in KEYS:
        waiting: dict[Hashable, list[Dependency]] = {}
        for one in left:
            waiting.setdefault(key(one.on), []).append(one)
        for index, before in enumerate(old):
            if index not in partner and (found := waiting.get(key(before))):
                partner[index] = found.pop(0)
        taken = {id(one) for one in partner.values()}
        left = [one for one in left if id(one) not in taken]
    yield from (Pair(before, partner.get(index)) for index, before in enumerate(old))
    yield from (Pair(None, one) for one in left)


def same_value(then: DependedOn, now: DependedOn, within: Mapping[str, float]) -> bool:
    """Whether two settings say the same, however it is written, or nearly the same where that will do."""
    if equal_values(then.value, now.value, then.role):
        return True
    before, after = text_value(then.value), text_value(now.value)
    if isinstance(before, Text) and isinstance(after, Text):
        return fold_name(then.value) == fold_name(now.value)
    share, (low, high) = within.get(then.role, 0.0), sorted(map(_amount, (then, now)))
    return 0.0 < low <= high <= low * (1.0 + share)


def _amount(one: DependedOn) -> float:
    """The number in its role's base unit; 0 where it is none."""
    value = text_value(one.value)
    if not isinstance(value, Number) or one.role not in ROLES:
        return 0.0
    return amount_as(value, ROLES[one.role].dimension) or 0.0
