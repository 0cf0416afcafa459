"""The places of one setting in two states: which is which, and which one counts."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from difflib import SequenceMatcher
from typing import NamedTuple

from cfgaudit.tree.config_tree import Occurrence, Setting


class Places(NamedTuple):
    """The places of a setting before and after; where they stand in the file's order says which is which."""

    pairs: tuple[tuple[Occurrence, Occurrence], ...]
    gone: tuple[Occurrence, ...]
    came: tuple[Occurrence, ...]


def match_places(before: Setting, after: Setting) -> Places:
    """Each place with the one of the same author in the same file, else in any other."""
    pairs: list[tuple[Occurrence, Occurrence]] = []
    gone, came = list(before.occurrences), list(after.occurrences)
    for author in ("hand", "machine"):
        for file in (*dict.fromkeys(one.document.path for one in before.occurrences), None):
            lefts = [one for one in gone if one.author == author and file in (None, one.document.path)]
            rights = [one for one in came if one.author == author and file in (None, one.document.path)]
            found = _in_order(lefts, rights)
            pairs += found
            gone = _without(gone, (left for left, _ in found))
            came = _without(came, (right for _, right in found))
    return Places(tuple(pairs), tuple(gone), tuple(came))


def effective_of(occurrences: Sequence[Occurrence]) -> Occurrence | None:
    """The place that counts: the last that the machine wrote, else the last."""
    machine = [one for one in occurrences if one.author == "machine"]
    every = machine or list(occurrences)
    return every[-1] if every else None


def _in_order(
    lefts: Sequence[Occurrence], rights: Sequence[Occurrence]
) -> list[tuple[Occurrence, Occurrence]]:
    """Equal values first, then what stands between them, in order."""
    matcher = SequenceMatcher(
        None, [one.value for one in lefts], [one.value for one in rights], autojunk=False
    )
    pairs: list[tuple[Occurrence, Occurrence]] = []
    for _, start, end, first, last in matcher.get_opcodes():
        pairs += zip(lefts[start:end], rights[first:last], strict=False)
    return pairs


def _without(every: Sequence[Occurrence], taken: Iterable[Occurrence]) -> list[Occurrence]:
    known = {id(one) for one in taken}
    return [one for one in every if id(one) not in known]
