"""The nearest of several names, for suggestions."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from functools import cached_property
from heapq import nsmallest
from itertools import chain, pairwise

FEW = 12
"""Names that are compared letter by letter."""


def edit_distance(one: str, other: str, most: int) -> int:
    """Insertions, deletions, replacements and swaps of neighbours between two texts; ``most + 1`` if more.

    Optimal string alignment, after F. J. Damerau, "A technique for computer detection and correction of
    spelling errors", Communications of the ACM 7 (1964) 171.
    """
    if abs(len(one) - len(other)) > most:
        return most + 1
    before: list[int] = []
    last = list(range(len(other) + 1))
    for row, letter in enumerate(one, 1):
        line = [row]
        for column, against in enumerate(other, 1):
            cost = min(last[column] + 1, line[-1] + 1, last[column - 1] + (letter != against))
            if row > 1 and column > 1 and letter == other[column - 2] and one[row - 2] == against:
                cost = min(cost, before[column - 2] + 1)
            line.append(cost)
        if min(line) > most:
            return most + 1
        before, last = last, line
    return min(last[-1], most + 1)


def nearest(name: str, names: Iterable[str]) -> str | None:
    """The one of ``names`` most like ``name``, at most a third of its letters away; None if none is."""
    most = max(1, len(name) // 3)
    ranked = [(edit_distance(name.casefold(), one.casefold(), most), one) for one in names]
    best = min(ranked, default=None)
    return best[1] if best is not None and best[0] <= most else None


class NearNames:
    """The nearest of many names: of those that share most pairs of letters, the one with fewest edits."""

    def __init__(self, names: Iterable[str]) -> None:
        self._names = list(dict.fromkeys(names))

    def nearest(self, name: str) -> str | None:
        """As `nearest`; a name that shares few pairs of letters may escape where there are many."""
        return nearest(name, self._names if len(self._names) <= FEW else self._alike(name))

    def _alike(self, name: str) -> list[str]:
        found = (self._by_pair.get(pair, ()) for pair in _letter_pairs(name))
        shared = Counter(chain.from_iterable(found))
        return nsmallest(FEW, shared, key=lambda one: (-shared[one], one))

    @cached_property
    def _by_pair(self) -> dict[str, list[str]]:
        table: dict[str, list[str]] = {}
        for name in self._names:
            for pair in _letter_pairs(name):
                table.setdefault(pair, []).append(name)
        return table


def _letter_pairs(name: str) -> set[str]:
    padded = f" {name.casefold()} "
    return {one + other for one, other in pairwise(padded)}


def or_nearest(name: str, names: Iterable[str]) -> str:
    """``haeter (did you mean heater?)``, or the bare name where nothing is near."""
    near = nearest(name, names)
    return name if near is None else f"{name} (did you mean {near}?)"
