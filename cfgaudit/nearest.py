"""The nearest of several names, for suggestions."""

from __future__ import annotations

from collections.abc import Iterable


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


def or_nearest(name: str, names: Iterable[str]) -> str:
    """``haeter (did you mean heater?)``, or the bare name where nothing is near."""
    near = nearest(name, names)
    return name if near is None else f"{name} (did you mean {near}?)"
