"""The sign of a probe's offset, and grids."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cfgaudit.physics.probing import grid, nozzle_at, touched_at

NUMBERS = st.floats(-500.0, 500.0)
POINTS = st.tuples(NUMBERS, NUMBERS)


def test_a_probe_left_of_the_nozzle_needs_the_nozzle_further_right() -> None:
    left_by_28 = (-28.0, 0.0)
    assert nozzle_at((30.0, 50.0), left_by_28) == (58.0, 50.0)


@given(nozzle=POINTS, offset=POINTS)
def test_the_probe_touches_where_nozzle_plus_offset_is(
    nozzle: tuple[float, float], offset: tuple[float, float]
) -> None:
    touched = touched_at(nozzle, offset)
    assert touched == (nozzle[0] + offset[0], nozzle[1] + offset[1])
    assert nozzle_at(touched, offset) == pytest.approx(nozzle)


@given(low=POINTS, high=POINTS, across=st.integers(2, 12), along=st.integers(2, 12))
def test_a_grid_holds_its_corners_and_as_many_points_as_asked(
    low: tuple[float, float], high: tuple[float, float], across: int, along: int
) -> None:
    points = list(grid(low, high, (across, along)))
    assert len(points) == across * along
    assert points[0] == pytest.approx(low)
    assert points[-1] == pytest.approx(high)


def test_rows_run_in_x_and_are_evenly_spaced() -> None:
    expected = [(0, 0), (5, 0), (10, 0), (0, 4), (5, 4), (10, 4)]
    assert list(grid((0.0, 0.0), (10.0, 4.0), (3, 2))) == expected


def test_a_single_point_is_the_middle() -> None:
    assert list(grid((0.0, 0.0), (10.0, 4.0), (1, 1))) == [(5.0, 2.0)]


def test_no_points_are_no_grid() -> None:
    with pytest.raises(ValueError, match="at least 1 point"):
        list(grid((0.0, 0.0), (1.0, 1.0), (0, 3)))
