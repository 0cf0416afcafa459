"""What a builder chose before measuring, and some results are about: the shaper, the regulator's gains.

To choose anew is what one measures for, so it makes no record stale; only these results are then of another
shaper or of other gains than the machine has.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from cfgaudit.evidence.records.dependencies import (
    Dependency,
    axis_letter,
    depended_on,
    kinds_that_depend,
    parts_of_kind,
)
from cfgaudit.evidence.records.record import MeasurementKind
from cfgaudit.facts.shapers import shaper_of
from cfgaudit.machine.model import Machine

GAINS = ("pid.p", "pid.i", "pid.d")


def chosen_now(kind: MeasurementKind, part: str, machine: Machine) -> tuple[Dependency, ...]:
    """The settings that `results_of_choice` are about, as they are now."""
    if kind is MeasurementKind.RESONANCE:
        return tuple(_shaper(axis_letter(part), machine))
    if kind is MeasurementKind.HEATUP:
        return tuple(_gains(part, machine))
    return ()


def results_of_choice(kind: MeasurementKind) -> tuple[str, ...]:
    """The names of the results that are about what was chosen."""
    return tuple(roles_of_choice(kind))


def roles_of_choice(kind: MeasurementKind) -> Mapping[str, tuple[str, ...]]:
    """The same, each with the roles of the settings that it is about."""
    depends = kinds_that_depend().get(kind)
    return {} if depends is None else depends.chosen


def _shaper(letter: str, machine: Machine) -> Iterator[Dependency]:
    """Of one axis, though one setting may hold two: kind, Hz, and the damping if one is stated."""
    shaper = shaper_of(machine.axis(letter)) if letter in machine.index.letters else None
    if shaper is None:
        return
    texts = (shaper.kind, f"{shaper.frequency:.6g} Hz", f"{shaper.damping:.6g}")
    for meaning, text in zip(shaper.origin, texts, strict=False):
        yield Dependency(depended_on(f"axis {letter}", letter, meaning, text), meaning)


def _gains(part: str, machine: Machine) -> Iterator[Dependency]:
    for heater in parts_of_kind("heater", part, machine):
        for gain in map(heater.get, GAINS):
            if gain is not None:
                yield Dependency(depended_on(heater.title, None, gain, gain.text), gain)
