"""Levelling that its own geometry makes impossible."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations
from math import dist

from cfgaudit.checks.finding import Limits, Problem, Skip, Subject
from cfgaudit.checks.limit_value import number
from cfgaudit.checks.registry import check
from cfgaudit.checks.rule import format_amount
from cfgaudit.checks.touching import Point, points_in
from cfgaudit.machine.model import Part

Position = tuple[float, float]


@check("pivots-in-line")
def pivots_in_line(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """Three or more pivots on one line: the bed cannot be turned about that line. Two are a gantry's."""
    least = number(limits, "least_width")
    for level in subject.machine.kind("level"):
        points = list(_pivots(level))
        places = [(point.at["x"], point.at["y"]) for point in points]
        if len(places) >= 3 and (width := width_of(places)) < least:
            yield Problem(
                points[0].meaning.place,
                f"{level.title}: {len(places)} pivots stand within {format_amount(width, 'mm')} of one line",
                subject=level.title,
                related=tuple({point.meaning.place for point in points} - {points[0].meaning.place}),
            )


def _pivots(level: Part) -> Iterator[Point]:
    """Every pivot; nothing where one of them is not wholly understood."""
    meanings = list(level.all("level.pivots"))
    found = [list(points_in(meaning)) for meaning in meanings]
    if all(found):
        yield from (point for points in found for point in points)


def width_of(places: Sequence[Position]) -> float:
    """How far, in mm, points stand from the line through the two of them that are farthest apart, at most."""
    start, end = max(combinations(places, 2), key=lambda pair: dist(*pair))
    length = dist(start, end)
    if not length:
        return 0.0
    across = ((end[0] - start[0]) * (y - start[1]) - (end[1] - start[1]) * (x - start[0]) for x, y in places)
    return max(abs(area) for area in across) / length
