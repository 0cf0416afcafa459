"""Facts of probing: points in nozzle coordinates."""

from __future__ import annotations

import pytest
from machine.readings import machine_of

from cfgaudit.facts.compute import compute_facts

MESH = "[mesh bed]\nnear = 30, 20\nfar = 90 x 60\nknots = 3 x 2\n"
LEFT_AND_BEHIND = "[probe]\nbeside = -28, 14\n"


def value_of(text: str, name: str) -> object:
    fact = compute_facts(machine_of(text)).get(name)
    return fact.value if fact is not None else None


def test_the_nozzle_stands_at_the_point_less_the_offset() -> None:
    """A probe 28 mm left of the nozzle and 14 mm behind it: the nozzle goes right and to the front."""
    expected = ((58, 6), (88, 6), (118, 6), (58, 46), (88, 46), (118, 46))
    assert value_of(MESH + LEFT_AND_BEHIND, "mesh.bed.points") == expected


def test_an_offset_may_be_one_setting_an_axis_or_have_a_height() -> None:
    by_axis = "[probe]\nbeside x = -28\nbeside y = 14\nbeside z = 1.8\n"
    with_height = "[probe]\nbeside = -28, 14, 1.8\n"
    expected = value_of(MESH + LEFT_AND_BEHIND, "mesh.bed.points")
    assert value_of(MESH + by_axis, "mesh.bed.points") == expected
    assert value_of(MESH + with_height, "mesh.bed.points") == expected


def test_corners_and_counts_may_be_one_setting_an_axis() -> None:
    mesh = "[mesh]\nnear x = 30\nnear y = 20\nfar x = 90\nfar y = 60\nknots x = 3\nknots y = 2\n"
    assert value_of(mesh + LEFT_AND_BEHIND, "mesh.mesh.points") == value_of(
        MESH + LEFT_AND_BEHIND, "mesh.bed.points"
    )


def test_one_count_is_for_both_ways() -> None:
    points = value_of(MESH.replace("3 x 2", "4"), "mesh.bed.points")
    assert isinstance(points, tuple)
    assert len(points) == 16


def test_without_a_probe_the_nozzle_touches_itself() -> None:
    points = value_of(MESH, "mesh.bed.points")
    assert isinstance(points, tuple)
    assert points[0] == (30, 20)
    assert points[-1] == (90, 60)


def test_an_offset_is_not_guessed_where_something_was_not_understood() -> None:
    assert value_of(MESH + "[probe]\ntouch = PA1\nsideways = 28\n", "mesh.bed.points") is None
    assert value_of(MESH + "[probe]\ntouch = PA1\n", "mesh.bed.points") is not None


def test_the_probe_that_the_mesh_names_counts() -> None:
    two = "[probe near]\nbeside = 10, 0\n[probe far]\nbeside = 20, 0\n"
    assert value_of(MESH + two, "mesh.bed.points") is None
    points = value_of(MESH + "dips = far\n" + two, "mesh.bed.points")
    assert isinstance(points, tuple)
    assert points[0] == (10, 20)


@pytest.mark.parametrize("knots", ["0", "2.5", "3 x 0", "many", "1000 x 1000"])
def test_absurd_counts_are_no_points(knots: str) -> None:
    assert value_of(MESH.replace("3 x 2", knots), "mesh.bed.points") is None


@pytest.mark.parametrize("spots", ["\n  60, 60\n  420, 60\n  240, 440", "60, 60, 420, 60, 240, 440"])
def test_level_points_stand_one_a_line_or_in_a_row(spots: str) -> None:
    expected = ((88, 46), (448, 46), (268, 426))
    assert value_of(f"[level lift]\nspots = {spots}\n{LEFT_AND_BEHIND}", "level.lift.points") == expected


def test_the_reach_is_the_travel_moved_by_the_offset() -> None:
    axes = "[axis x]\nlow = -5\nhigh = 485\n[axis y]\nlow = -8\nhigh = 470\n"
    assert value_of(axes + LEFT_AND_BEHIND, "probe.probe.reach") == ((-33, 6), (457, 484))
    assert value_of(LEFT_AND_BEHIND, "probe.probe.reach") is None
