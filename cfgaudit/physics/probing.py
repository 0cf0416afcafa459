"""Where a probe touches. All coordinates in mm.

The convention everywhere: a probe's offset is where the probe is, seen from the nozzle. With the nozzle at
N the probe touches the bed at N + offset; to touch a point P the nozzle goes to P − offset. A probe that
hangs 28 mm to the left of the nozzle has the x offset −28, so it touches x = 30 with the nozzle at 58.
"""

from __future__ import annotations

from collections.abc import Iterator

Point = tuple[float, float]


def nozzle_at(point: Point, offset: Point) -> Point:
    """Where the nozzle is while the probe touches ``point``."""
    return point[0] - offset[0], point[1] - offset[1]


def touched_at(nozzle: Point, offset: Point) -> Point:
    """The point that the probe touches while the nozzle is at ``nozzle``."""
    return nozzle[0] + offset[0], nozzle[1] + offset[1]


def grid(low: Point, high: Point, counts: tuple[int, int]) -> Iterator[Point]:
    """The points of a regular grid from one corner to the other, both included, row by row in x.

    A count of 1 gives the middle. Raises ValueError if a count is below 1.
    """
    across, along = (_spread(low[axis], high[axis], counts[axis]) for axis in (0, 1))
    return ((x, y) for y in along for x in across)


def _spread(start: float, end: float, count: int) -> list[float]:
    if count < 1:
        raise ValueError(f"a grid needs at least 1 point each way, not {count}")
    if count == 1:
        return [(start + end) / 2.0]
    return [start + (end - start) * rank / (count - 1) for rank in range(count)]
