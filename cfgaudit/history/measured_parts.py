"""Which changes of the configuration touch what was measured."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from cfgaudit.evidence.records.dependencies import parts_named
from cfgaudit.evidence.records.record import MeasurementKind
from cfgaudit.history.change import Change, ChangeKind, Side
from cfgaudit.machine.model import Machine, Part
from cfgaudit.tree.names import fold_name

CARRIAGE = ("x", "y")
LIFT = ("z",)
FOR_ALL_AXES = ("motion", "shaper")
"""Kinds of parts that may speak of several axes."""
OF_MOVING = frozenset({MeasurementKind.RESONANCE, MeasurementKind.BELTS})
SAME_MEANING = frozenset({ChangeKind.RENAMED, ChangeKind.MOVED})


class Subject(NamedTuple):
    """What was measured: a kind of measurement, and the part as the record calls it."""

    kind: MeasurementKind
    part: str


def touching(changes: Iterable[Change], subjects: Iterable[Subject], *machines: Machine) -> Iterator[Change]:
    """The changes of settings and sections that belong to what was measured, in their order.

    ``machines`` are those before and after. New names for what is the same are not among them.
    """
    subjects = tuple(subjects)
    own: set[str] = set()
    shared: dict[str, set[str]] = {}
    for machine in machines:
        for subject in subjects:
            letters = _letters(subject)
            own |= {fold_name(part.section.name) for part in _parts(subject, letters, machine)}
            for part in machine.kind(*FOR_ALL_AXES) if subject.kind in OF_MOVING else ():
                shared.setdefault(fold_name(part.section.name), set()).update(letters)
    for one in changes:
        sections = {fold_name(side.section) for side in _sides(one)}
        if not one.effective or one.kind in SAME_MEANING:
            continue
        concerned = any(one.axis is None or one.axis in shared.get(name, ()) for name in sections & {*shared})
        if concerned or sections & (own - {*shared}):
            yield one


def _sides(change: Change) -> Iterator[Side]:
    return (side for side in (change.before, change.after) if side is not None)


def _letters(subject: Subject) -> tuple[str, ...]:
    """The axes that a measurement has to do with."""
    match subject.kind:
        case MeasurementKind.RESONANCE:
            return (subject.part.rpartition(" ")[2].casefold(),)
        case MeasurementKind.BELTS:
            return CARRIAGE
        case MeasurementKind.REPEATABILITY:
            return LIFT
    return ()


def _parts(subject: Subject, letters: Iterable[str], machine: Machine) -> Iterator[Part]:
    """The parts of the axes, those that the record names, and what goes with these."""
    for letter in letters:
        yield from machine.axis(letter).parts()
    if subject.kind is MeasurementKind.REPEATABILITY:
        yield from machine.kind("probe")
    for part in parts_named(subject.part, machine):
        yield part
        for kind in ("sensor", "guard"):
            yield from machine.partners(part, kind)
