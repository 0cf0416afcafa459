"""Which settings a change is about, under one name in both states."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from cfgaudit.history.change import Change, ChangeKind, Side
from cfgaudit.history.comparing.written import key_of_name

Touched = tuple[str, str]
"""The keys of a section, as it was called before, and of a setting; empty for the section itself."""


def touched(changes: Iterable[Change], pairs: Mapping[str, str]) -> set[Touched]:
    """Everything that changes are about. ``pairs`` leads from the keys of sections before to those after."""
    back = {new: old for old, new in pairs.items()}
    found: set[Touched] = set()
    for change in changes:
        for side, renamed in ((change.before, {}), (change.after, back)):
            if side is not None:
                found |= {(renamed.get(section, section), setting) for section, setting in _of(change, side)}
    return found


def _of(change: Change, side: Side) -> Iterator[Touched]:
    if not change.setting:
        yield key_of_name(side.section), ""
    if change.setting or change.kind is not ChangeKind.RENAMED:
        for one in side.settings:
            yield key_of_name(one.section), key_of_name(one.setting)
