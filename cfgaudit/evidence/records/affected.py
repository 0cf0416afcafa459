"""What a declared change of hardware concerns."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from cfgaudit.evidence.records.dependencies import BELTS, members
from cfgaudit.evidence.records.record import Evidence, MeasurementKind
from cfgaudit.evidence.records.staleness import LASTING, affects_part
from cfgaudit.machine.model import Machine
from cfgaudit.tree.names import fold_name


def affected(pattern: str, machine: Machine, evidence: Evidence) -> tuple[str, ...]:
    """What a record of the change says that it concerns; nothing where no part suits the pattern.

    A pattern that suits something that is measured (``axis.x``) stays as it is. One that suits only a part of
    such a thing (``motor.x``) means all that is measured with that part.
    """
    measured = measured_parts(machine)
    recorded = {one.part for one in evidence.records if one.kind not in LASTING}
    if any(affects_part(pattern, name) for name in (*measured, *recorded)):
        return (pattern,)
    holders = tuple(
        name for name, titles in measured.items() if any(affects_part(pattern, title) for title in titles)
    )
    titled = any(affects_part(pattern, part.title) for part in machine.parts)
    return holders or ((pattern,) if titled else ())


def meant(patterns: Iterable[str], machine: Machine, evidence: Evidence) -> tuple[str, ...]:
    """What patterns mean, by the names that people read: ``axis x`` for ``axis.x``, each axis for ``axis.*``.

    Of all that has such a name first what is measured, or was; where that is nothing the parts themselves.
    """
    known, measurable = known_parts(machine, evidence), measured_parts(machine)
    titles = {part.title for part in machine.parts} - set(measurable)
    named: dict[str, str] = {}
    for pattern in patterns:
        suited = [name for name in known if affects_part(pattern, name)]
        measured = [name for name in suited if name not in titles]
        for name in measured or suited or [pattern]:
            named.setdefault(fold_name(name), name)
    return tuple(named.values())


def known_parts(machine: Machine, evidence: Evidence) -> tuple[str, ...]:
    """Every name that a pattern may mean."""
    recorded = (one.part for one in evidence.records if one.kind not in LASTING)
    names = (*measured_parts(machine), *(part.title for part in machine.parts), *recorded)
    return tuple(dict.fromkeys(names))


def measured_parts(machine: Machine) -> Mapping[str, frozenset[str]]:
    """All that can be measured (``axis x``, ``belts``, ``heater bed``), and the titles of its parts."""
    return {
        name: frozenset(part.title for part in members(kind, name, machine)) for name, kind in _all(machine)
    }


def _all(machine: Machine) -> Iterator[tuple[str, MeasurementKind]]:
    for axis in machine.axes():
        yield f"axis {axis.letter}", MeasurementKind.RESONANCE
    yield BELTS, MeasurementKind.BELTS
    for probe in machine.kind("probe"):
        yield probe.title, MeasurementKind.REPEATABILITY
    for heater in machine.kind("heater"):
        yield heater.title, MeasurementKind.HEATUP
