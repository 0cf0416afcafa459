"""What was changed where it has no effect: values that another place shadows."""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Iterator
from itertools import zip_longest
from typing import NamedTuple

from cfgaudit.machine.forms import equal_values
from cfgaudit.tree.config_tree import Occurrence, Setting


class Shadowed(NamedTuple):
    """A value without effect before and after; None on the side that has no such value."""

    left: Occurrence | None
    right: Occurrence | None


def shadowed_changes(left: Setting, right: Setting, role: str | None) -> Iterator[Shadowed]:
    """The places without effect whose values only one side has; where values stand says nothing."""
    if len(left.occurrences) == 1 == len(right.occurrences):
        return
    if _values(left) == _values(right):
        return
    same = equal_values(left.value, right.value, role)
    gone = _left_over(left, right, keep_effective=same)
    came = _left_over(right, left, keep_effective=same)
    for author in ("hand", "machine"):
        lefts = [one for one in gone if one.author == author]
        rights = [one for one in came if one.author == author]
        for one, other in zip_longest(lefts, rights):
            if one is None or other is None or not equal_values(one.value, other.value, role):
                yield Shadowed(one, other)


def _values(setting: Setting) -> Counter[Hashable]:
    return Counter(one.value for one in setting.occurrences)


def _left_over(setting: Setting, other: Setting, *, keep_effective: bool) -> list[Occurrence]:
    """The occurrences whose values the other side has fewer times.

    The effective one is spoken of elsewhere if its value changed; which of several equal ones is new is told
    by who wrote them.
    """
    surplus = _values(setting) - _values(other)
    theirs = Counter((one.author, one.value) for one in other.occurrences)
    found = []
    for one in sorted(setting.occurrences, key=lambda one: theirs[one.author, one.value] > 0):
        if surplus[one.value] > 0:
            surplus[one.value] -= 1
            if keep_effective or one is not setting.effective:
                found.append(one)
    return found
