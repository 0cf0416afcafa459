"""The axis that a section has to do with, though only what it refers to says so: a driver of a motor of x."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from cfgaudit.history.change import Change
from cfgaudit.machine.model import Machine


def with_axes(changes: Iterable[Change], *machines: Machine) -> Iterator[Change]:
    """The changes with the axis of their section where they name none, and it has exactly one."""
    table: dict[str, set[str]] = {}
    for machine in machines:
        for letter, parts in machine.index.by_axis.items():
            for part in parts:
                table.setdefault(part.section.name, set()).add(letter)
    for one in changes:
        letters = table.get(one.section, set())
        yield one if one.axis or len(letters) != 1 else one._replace(axis=next(iter(letters)))
