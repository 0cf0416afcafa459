"""Rules of probing: what they say, and what they must not say of machines that are as they should be."""

from __future__ import annotations

from math import hypot

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.checks.probing.level import width_of

from .machine_findings import findings_in, lines_in

AXES = "[axis x]\nlowest = 0\nhighest = 200\n[axis y]\nlowest = 0\nhighest = 200\n"
PROBE = "[probe]\npin = PA1\noffset x = {x}\noffset y = {y}\n"
LEVEL = "[tilt correction]\npoints =\n    {first}\n    100, 100\n"
MESH = "[mesh]\nlow corner x = {low}\nlow corner y = 20\nhigh corner x = {high}\nhigh corner y = 180\n"


@pytest.mark.parametrize(
    ("offset", "point", "reached"),
    [(0, 0, True), (0, 201, False), (-30, 171, False), (-30, 170, True), (30, 29, False), (30, 230, True)],
)
def test_the_nozzle_goes_to_the_point_less_the_offset(offset: int, point: int, reached: bool) -> None:
    """A probe 30 mm to the left touches 171 with the nozzle at 201, which is beyond 200."""
    text = AXES + PROBE.format(x=offset, y=0) + LEVEL.format(first=f"{point}, 50")
    assert lines_in(text, "point-unreachable") == ([] if reached else [13])


@pytest.mark.parametrize(
    ("low", "high", "found"), [(20, 180, []), (-1, 180, [12]), (20, 171, []), (20, 240, [14])]
)
def test_each_corner_of_a_mesh_may_be_written_by_axis(low: int, high: int, found: list[int]) -> None:
    text = AXES + PROBE.format(x=0, y=0) + MESH.format(low=low, high=high)
    assert lines_in(text, "mesh-outside-travel") == found


SILENT = {
    "two probes and nothing that says which": AXES
    + PROBE.format(x=-90, y=0)
    + "[probe old]\npin = PA2\noffset = 0, 0\n",
    "an offset that a template gives": AXES + PROBE.format(x="{x}", y="{y}"),
    "a section that may be the probe": AXES + "[whisker]\nconnected pin = PA1\nreach of it = 30\n",
    "an axis without limits": "[axis x]\nlowest = 0\n[axis y]\nhighest = 900\n",
}


@pytest.mark.parametrize("name", SILENT)
def test_where_nobody_can_tell_nothing_is_said(name: str) -> None:
    text = SILENT[name] + MESH.format(low=20, high=210) + LEVEL.format(first="210, 20")
    assert lines_in(text, "mesh-outside-travel") == []
    assert lines_in(text, "point-unreachable") == []


LISTS = """
[bed levelling]
{pivots} = -40, 20; 150, 240
points to touch = 20, 20; 210, 20
"""


@pytest.mark.parametrize(("pivots", "found"), [("pivots", True), ("glub", False), ("probe points", False)])
def test_of_two_lists_of_places_one_may_be_the_pivots(pivots: str, found: bool) -> None:
    text = AXES + PROBE.format(x=0, y=0) + LISTS.format(pivots=pivots).replace("; ", "\n    ")
    assert bool(lines_in(text, "point-unreachable")) is found


def test_points_by_numbered_names_are_one_list() -> None:
    points = "[bed levelling]\npoint 1 = 20, 20\npoint 2 = 210, 20\n"
    assert lines_in(AXES + PROBE.format(x=0, y=0) + points, "point-unreachable") == [13]


def test_the_message_says_how_the_place_comes_about() -> None:
    found = findings_in(AXES + PROBE.format(x=-30, y=0) + LEVEL.format(first="180, 50"), "point-unreachable")
    assert [one.message for one in found] == [
        "point 1 of level needs x at 210 mm (180 mm less the probe's offset of -30 mm), "
        "but x travels from 0 to 200 mm"
    ]
    assert [place.line for place in found[0].related] == [3, 9]


@pytest.mark.parametrize(
    ("offset", "severities"), [("-45, 20, 2.1", []), ("101, 0", ["warning"]), ("0, 200", ["error"])]
)
def test_how_far_a_probe_may_stand_from_the_nozzle(offset: str, severities: list[str]) -> None:
    text = AXES + f"[probe]\npin = PA1\noffset = {offset}\n"
    assert [one.severity for one in findings_in(text, "probe-offset-implausible")] == severities


def pivots(points: str) -> list[int]:
    return lines_in(f"[tilt correction]\npivots = {points}\n", "pivots-in-line")


def test_two_pivots_are_a_gantry_and_half_a_pair_is_nothing() -> None:
    assert pivots("-40, 150, 340, 150") == []
    assert pivots("0, 0, 100, 0, 200") == []
    assert pivots("0, 0, 100, 0, {x}, 0") == []


def test_a_pivot_typed_twice_leaves_a_line() -> None:
    assert pivots("0, 0, 300, 0, 0, 0") == [2]
    assert pivots("0, 0, 0, 0, 0, 0") == [2]


@given(
    st.tuples(st.floats(-500, 500), st.floats(-500, 500)),
    st.floats(-3, 3),
    st.lists(st.floats(-300, 300), min_size=3, max_size=6),
)
@settings(max_examples=60, deadline=None)
def test_points_on_a_line_have_no_width(start: tuple[float, float], slope: float, along: list[float]) -> None:
    scale = hypot(1, slope)
    places = [(start[0] + step / scale, start[1] + step * slope / scale) for step in along]
    assert width_of(places) < 1e-3


@given(st.floats(10, 500), st.floats(10, 500))
@settings(max_examples=40, deadline=None)
def test_a_right_triangle_is_as_wide_as_its_height(across: float, along: float) -> None:
    """The height over the longest side of a right triangle is the product of the others over it."""
    expected = across * along / hypot(across, along)
    assert width_of([(0.0, 0.0), (across, 0.0), (0.0, along)]) == pytest.approx(expected)


SERVO = "[servo]\npin = PA1\n{name} = {value}\n"


@pytest.mark.parametrize(
    "value", ["0.0005", "0.5", "500", "0.5 ms", "500 us", "0.0025", "2.5", "2500", "0", "{p}"]
)
def test_a_pulse_that_servos_understand_in_any_scale(value: str) -> None:
    """Hobby servos, common practice: 0.5 to 2.5 ms at the very most."""
    assert lines_in(SERVO.format(name="shortest pulse", value=value), "pulse-out-of-range") == []
    assert lines_in(SERVO.format(name="longest pulse", value=value), "pulse-out-of-range") == []


@pytest.mark.parametrize(
    "value", ["0.00049", "0.49", "490", "0.3 ms", "0.0026", "2.6", "2600", "25 ms", "-1.5"]
)
def test_a_pulse_that_no_servo_understands(value: str) -> None:
    assert lines_in(SERVO.format(name="longest pulse", value=value), "pulse-out-of-range") == [3]


@pytest.mark.parametrize(
    ("shortest", "longest", "swapped"),
    [("0.001", "2.0 ms", False), ("900", "0.0021", False), ("1.5", "1.5", False), ("2000", "1 ms", True)],
)
def test_pulses_are_compared_in_one_scale(shortest: str, longest: str, swapped: bool) -> None:
    text = f"[servo]\nshortest pulse = {shortest}\nlongest pulse = {longest}\n"
    assert bool(lines_in(text, "pulse-inverted")) is swapped


@pytest.mark.parametrize(
    ("start", "top", "found"), [("120", "120", 0), ("121", "120", 1), ("-1", "120", 0), ("{a}", "90", 0)]
)
def test_a_servos_position(start: str, top: str, found: int) -> None:
    text = f"[servo]\npin = PA1\nlargest angle = {top}\nstarting angle = {start}\n"
    assert len(lines_in(text, "angle-outside")) == found


WATCH = (
    "[filament watch left]\nswitch = PA1\nwhen empty = hold\n"
    "[filament watch right]\nswitch = PA2\n{more}\n[macro hold]\nbody = G91\n"
)


@pytest.mark.parametrize(
    "more", ["when empty = hold", "stops the job itself = yes", "", "when empty = {macro}"]
)
def test_a_watch_is_idle_only_where_nothing_may_follow_it(more: str) -> None:
    assert lines_in(WATCH.format(more=more), "filament-watch-idle") == ([] if more else [5])


def test_a_corner_of_two_numbers_is_x_and_y() -> None:
    """And no range from the first to the second, although the words of both ends look alike."""
    text = AXES + "[mesh]\nlow corner = 150, 20\nhigh corner = {corner}\n"
    assert lines_in(text.format(corner="180, 160"), "mesh-outside-travel") == []
    assert lines_in(text.format(corner="180, 201"), "mesh-outside-travel") == [9]
    assert lines_in(text.format(corner="180 x 201"), "mesh-outside-travel") == [9]
