"""Facts of probing: where the nozzle stands while the probe touches.

Mesh corners and level points are places on the bed that the probe touches, and an offset is where the probe
is, seen from the nozzle; so the nozzle stands at point − offset. A machine without any probe part touches
with the nozzle itself, and so does a probe without an offset, if nothing in its section was left unread.
"""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.facts.fact import Fact, fact, fact_name
from cfgaudit.facts.inputs import counts, point, points
from cfgaudit.machine.model import Machine, Meaning, Part
from cfgaudit.physics.probing import Point, grid, nozzle_at, touched_at

MOST_POINTS = 10_000
"""A grid of more is a slip of the pen, and a burden to compute."""

Offset = tuple[Point, tuple[Meaning, ...]]


@fact
def mesh_points(machine: Machine) -> Iterator[Fact]:
    """``mesh.M.points`` in mm: every probing point, in nozzle coordinates, row by row in x."""
    for mesh in machine.kind("mesh"):
        low, high, count = point(mesh, "mesh.low"), point(mesh, "mesh.high"), counts(mesh, "mesh.count")
        offset = _offset_for(mesh, machine)
        if low is None or high is None or count is None or offset is None:
            continue
        if count[0][0] * count[0][1] <= MOST_POINTS:
            touched = tuple(grid(low[0], high[0], count[0]))
            yield _points_fact(mesh, touched, (*low[1], *high[1], *count[1]), offset)


@fact
def level_points(machine: Machine) -> Iterator[Fact]:
    """``level.L.points`` in mm: every probing point, in nozzle coordinates, in the order written."""
    for level in machine.kind("level"):
        stated = tuple(level.all("level.points"))
        touched = _all_points(level, stated)
        offset = _offset_for(level, machine)
        if touched and offset is not None:
            yield _points_fact(level, touched, stated, offset)


@fact
def probe_reach(machine: Machine) -> Iterator[Fact]:
    """``probe.P.reach`` in mm: the lowest and the highest corner of what the probe can touch."""
    limits = [machine.axis(letter).own(role) for role in ("travel.min", "travel.max") for letter in "xy"]
    stated = tuple(one for one in limits if one is not None and one.amount is not None)
    amounts = [one.amount for one in stated if one.amount is not None]
    if len(amounts) < 4:
        return
    for probe in machine.kind("probe"):
        offset = probe_offset(probe)
        if offset is not None:
            low = touched_at((amounts[0], amounts[1]), offset[0])
            high = touched_at((amounts[2], amounts[3]), offset[0])
            origin = (*offset[1], *stated)
            yield Fact(fact_name(probe, "reach"), (low, high), "mm", origin, "travel + probe offset")


def probe_offset(probe: Part) -> Offset | None:
    """The probe's place seen from the nozzle, in x and y, with where it is written.

    An offset that is not stated is 0 only where nobody could have missed it: nothing in the section unread.
    """
    pair = point(probe, "offset")
    if pair is not None:
        return pair
    stated = [probe.get("offset", axis) for axis in "xy"]
    amounts = [one.amount if one is not None else 0.0 for one in stated]
    if probe.unknown or amounts[0] is None or amounts[1] is None:
        return None
    return (amounts[0], amounts[1]), tuple(one for one in stated if one is not None)


def _offset_for(part: Part, machine: Machine) -> Offset | None:
    """The offset of the probe that a part names, else of the only one."""
    probes = machine.partners(part, "probe") or tuple(machine.kind("probe"))
    if not probes:
        return (0.0, 0.0), ()
    return probe_offset(probes[0]) if len(probes) == 1 else None


def _all_points(level: Part, stated: tuple[Meaning, ...]) -> tuple[Point, ...]:
    """The points of one list, or of several settings with one point each."""
    if len(stated) > 1:
        lone = [point_of for one in stated if len(point_of := _lone_point(one)) == 1]
        return tuple(one[0] for one in lone) if len(lone) == len(stated) else ()
    return points(stated[0]) if stated else ()


def _lone_point(meaning: Meaning) -> tuple[Point, ...]:
    found = points(meaning)
    return found if len(found) == 1 else ()


def _points_fact(part: Part, touched: tuple[Point, ...], origin: tuple[Meaning, ...], offset: Offset) -> Fact:
    stands = tuple(nozzle_at(one, offset[0]) for one in touched)
    formula = "probed point − probe offset"
    return Fact(fact_name(part, "points"), stands, "mm", (*origin, *offset[1]), formula)
