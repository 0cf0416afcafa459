"""Points that the probe is sent to although the nozzle cannot go there."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.checks.finding import Limits, Problem, Skip, Subject
from cfgaudit.checks.registry import check
from cfgaudit.checks.touching import HORIZONTAL, Miss, Point, misses, points_in, shifts_for
from cfgaudit.checks.travel import travel_bounds
from cfgaudit.machine.model import Meaning, Part
from cfgaudit.syntax.read_value import read_value
from cfgaudit.syntax.value import Items, numbers
from cfgaudit.tree.config_tree import Setting


@check("mesh-outside-travel")
def mesh_outside_travel(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A corner of the mesh at which the nozzle would have to leave its travel."""
    bounds = travel_bounds(subject.machine)
    for mesh in subject.machine.kind("mesh"):
        shifts = shifts_for(subject.machine, mesh)
        for corner in _corners(mesh):
            missed = list(misses(corner, shifts, bounds))
            if missed:
                yield _problem(f"{mesh.title} needs", corner, missed, f"{mesh.title} {corner.meaning.role}")


def _corners(mesh: Part) -> Iterator[Point]:
    """The lowest and highest corner, as pairs or one axis at a time."""
    for role in ("mesh.low", "mesh.high"):
        for meaning in mesh.all(role):
            at = _corner(meaning)
            if at:
                yield Point(at, meaning, meaning.place)


def _corner(meaning: Meaning) -> dict[str, float]:
    written = numbers(meaning.value) if meaning.fits else ()
    if len(written) == 1 and meaning.axis is not None:
        return {meaning.axis: written[0]}
    return dict(zip(HORIZONTAL, written, strict=True)) if len(written) == 2 else {}


@check("point-unreachable")
def point_unreachable(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A levelling point at which the nozzle would have to leave its travel.

    Silent where a second list of places may be the one to touch: then the first may be the pivots, which
    nothing has to reach.
    """
    bounds = travel_bounds(subject.machine)
    for level in subject.machine.kind("level"):
        if _may_be_pivots(level):
            continue
        shifts = shifts_for(subject.machine, level)
        points = [point for meaning in level.all("level.points") for point in points_in(meaning)]
        for count, point in enumerate(points, start=1):
            missed = list(misses(point, shifts, bounds))
            if missed:
                about = f"{level.title} {count}"
                yield _problem(f"point {count} of {level.title} needs", point, missed, about)


def _may_be_pivots(level: Part) -> bool:
    """Whether the section has several lists of places, and none of them is surely the pivots'."""
    stated = [one.setting for one in level.all("level.points")]
    lists = {one.key for one in (*stated, *level.unknown) if _places_in(one) > 1}
    singles = any(_places_in(one) == 1 for one in stated)
    return len(lists) + singles > 1 and level.get("level.pivots") is None


def _places_in(setting: Setting) -> int:
    value = read_value(setting.value)
    return len(numbers(value)) // 2 if isinstance(value, Items) else 0


def _problem(needs: str, point: Point, missed: list[Miss], about: str) -> Problem:
    shifts = [miss.shift.meaning for miss in missed if miss.shift.meaning is not None]
    return Problem(
        point.place,
        f"{needs} {' and '.join(str(miss) for miss in missed)}",
        subject=about,
        related=tuple(dict.fromkeys(one.place for one in [*(miss.limit for miss in missed), *shifts])),
    )
