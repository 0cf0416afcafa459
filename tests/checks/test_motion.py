"""Rules of motion: what they say, and what they must not say of machines that are as they should be."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from .machine_findings import findings_in, lines_in

TWO_CARRIAGES = """
[axis x]
lowest = 0
highest = 300
home position = 0

[axis x right]
lowest = 60
highest = 380
home position = 380
"""

ROTARY = """
[axis a]
lowest = -180 deg
highest = 180 deg
home position = 200 deg
"""

TOWERS = """
[kinematics]
kind = delta

[tower a]
home position = 312.5
[tower b]
home position = 312.5
[tower c]
home position = 312.5
"""


@pytest.mark.parametrize("text", [TWO_CARRIAGES, ROTARY, TOWERS], ids=["two carriages", "rotary", "towers"])
@pytest.mark.parametrize("rule", ["travel-inverted", "home-outside-travel"])
def test_unusual_machines_are_no_fault(rule: str, text: str) -> None:
    assert lines_in(text, rule) == []


def test_swapped_limits_are_one_finding_and_not_several() -> None:
    """What lies outside swapped limits only repeats the fault."""
    text = (
        "[axis y]\nlowest = 220\nhighest = 0\nhome position = 0\n[macro park]\nbody =\n    G90\n    G0 Y500\n"
    )
    assert len(findings_in(text, "travel-inverted")) == 1
    assert lines_in(text, "home-outside-travel") == []
    assert lines_in(text, "move-outside-travel") == []


TWO_HIGHEST = "[axis y]\n{}\n{}\n{}\n"


@pytest.mark.parametrize(
    ("settings", "found"),
    [
        (("travel start = 300", "travel end = 0", "limit = 300"), [3]),
        (("travel start = 0", "travel end = 300", "limit = -4"), []),
        (("lowest = 10", "limit = 300", "highest = 0"), [4]),
        (("lowest = 10", "limit = 0", "highest = 300"), []),
    ],
)
def test_of_two_upper_limits_the_like_named_or_the_last_counts(
    settings: tuple[str, str, str], found: list[int]
) -> None:
    assert lines_in(TWO_HIGHEST.format(*settings), "travel-inverted") == found


def test_the_finding_stands_at_what_was_written_last_and_names_the_other() -> None:
    found = findings_in("[axis x]\nhome position = 430\nlowest = 0\nhighest = 420\n", "home-outside-travel")
    assert [(one.where.line, [place.line for place in one.related]) for one in found] == [(4, [2])]
    assert found[0].message == "x travels from 0 to 420 mm, homes at 430 mm"


@given(low=st.integers(-500, 500), high=st.integers(-500, 500), unit=st.sampled_from(["", " mm", "mm"]))
@settings(max_examples=40, deadline=None)
def test_limits_are_swapped_exactly_when_the_lower_is_larger(low: int, high: int, unit: str) -> None:
    text = f"[axis x]\nlowest = {low}{unit}\nhighest = {high}{unit}\n"
    assert bool(lines_in(text, "travel-inverted")) == (low > high)


@pytest.mark.parametrize("value", ["3500", "9300 mm/s2", "30", "3.5 m/s²", "0", "20000", "as fast as it can"])
def test_an_acceleration_that_printers_have_is_no_fault(value: str) -> None:
    assert lines_in(f"[axis x]\nhighest acceleration = {value}\n", "accel-implausible") == []


@pytest.mark.parametrize("value", ["3.5", "-3000", "3 500 000", "4500000", "0.4 m/s2"])
def test_an_acceleration_is_judged_in_its_unit(value: str) -> None:
    found = lines_in(f"[axis x]\nhighest acceleration = {value}\n", "accel-implausible")
    assert found == ([] if value in ("3 500 000", "0.4 m/s2") else [2])


SEVERAL_MACHINE_LIMITS = """
[machine]
highest acceleration = 3000
highest travel acceleration = 9000

[axis x]
highest acceleration = 7000
"""


def test_of_several_limits_of_the_machine_the_largest_counts() -> None:
    assert lines_in(SEVERAL_MACHINE_LIMITS, "accel-above-machine") == []


@pytest.mark.parametrize(
    "kind",
    ["ZV", "mzv", "M_Z_V", "zvd", "EI", "two-hump EI", "2-hump EI", "EI 3 hump", "off", "no", "none", ""],
)
def test_a_shaper_that_the_trade_knows_is_no_fault(kind: str) -> None:
    assert lines_in(f"[input shaper x]\nkind = {kind}\n", "shaper-kind-unknown") == []


def test_a_slip_in_a_shapers_name_gets_the_nearest_one() -> None:
    found = findings_in("[input shaper x]\nkind = mvz\n", "shaper-kind-unknown")
    assert [one.advice for one in found] == ["Did you mean MZV?"]


@pytest.mark.parametrize(
    ("value", "fault"), [("0", 0), ("0.05 kHz", 0), ("45", 0), ("450", 1), ("-45", 1), ("{f}", 0)]
)
def test_a_shapers_frequency(value: str, fault: int) -> None:
    assert len(lines_in(f"[shaper x]\nfrequency = {value}\n", "shaper-frequency-implausible")) == fault


def test_the_sweep_of_an_accelerometer_is_no_shapers_frequency() -> None:
    text = "[accelerometer head]\nselect = PA4\nlowest frequency = 5\nhighest frequency = 200\n"
    assert lines_in(text, "shaper-frequency-implausible") == []


ONE_SHAPED = "[axis x]\nhighest = 200\n{x}\n[axis y]\nhighest = 200\n{y}\n"


@pytest.mark.parametrize(
    ("x", "y", "found"),
    [
        ("shaper frequency = 50", "", [3]),
        ("", "shaper frequency = 50", [6]),
        ("shaper frequency = 50", "shaper kind = zv", []),
        ("shaper frequency = 50", "shaper frequency = {y}", []),
        ("shaper frequency = 50", "shaper frequency = 0", [6]),
        ("shaper frequency = 0", "shaper frequency = 0", []),
        ("", "", []),
    ],
)
def test_a_shaper_on_one_axis(x: str, y: str, found: list[int]) -> None:
    assert lines_in(ONE_SHAPED.format(x=x, y=y), "shaper-on-one-axis") == found


def test_a_machine_of_which_only_one_axis_is_written_here_is_no_fault() -> None:
    assert lines_in("[axis x]\nhighest = 200\nshaper frequency = 50\n", "shaper-on-one-axis") == []


PAIR = """
[motor z left]
step pin = PA1
direction pin = PA2
{left}
[motor z right]
step pin = PA3
direction pin = PA4
{right}
"""


@pytest.mark.parametrize(
    ("left", "right", "found"),
    [
        ("gear ratio = 3:1", "gear ratio = 3", []),
        ("gear ratio = 60:20", "gear ratio = 3:1", []),
        ("gear ratio = 3:1", "gear ratio = 4:1", [9]),
        ("microsteps = 16", "microsteps = 1/16", []),
        ("screw lead = 8", "", []),
        ("screw lead = 8", "screw lead = 8.0 mm", []),
        ("screw lead = 8", "screw lead = {lead}", []),
        ("full steps = 200", "full steps = 400", [9]),
        ("run current = 0.8", "run current = 800 mA", []),
    ],
)
def test_motors_that_move_an_axis_together(left: str, right: str, found: list[int]) -> None:
    assert lines_in(PAIR.format(left=left, right=right), "paired-motors-differ") == found


def test_feeders_and_independent_carriages_are_no_pair() -> None:
    feeders = (
        "[extruder]\nstep pin = PA1\ntravel per turn = 22\n"
        "[extruder 2]\nstep pin = PA3\ntravel per turn = 34\n"
    )
    carriages = (
        "[axis x]\nstep pin = PA1\ntravel per turn = 40\nhighest = 300\n"
        "[axis x right]\nstep pin = PA3\ntravel per turn = 32\nhighest = 380\n"
    )
    assert lines_in(feeders, "paired-motors-differ") == []
    assert lines_in(carriages, "paired-motors-differ") == []


@pytest.mark.parametrize("steps", [1, 2, 4, 8, 16, 32, 64, 128, 256])
def test_every_power_of_two_up_to_256_is_valid(steps: int) -> None:
    """Trinamic, data sheet TMC2209: microsteps are powers of two up to 256."""
    text = f"[motor x]\nmicrosteps = {steps}\n[driver x]\nmotor = x\nmodel = TMC2209\n"
    assert lines_in(text, "microsteps-invalid") == []


@pytest.mark.parametrize("steps", ["0", "-16", "12.5", "17", "512"])
def test_what_no_driver_divides_by_is_invalid(steps: str) -> None:
    assert lines_in(f"[motor x]\nmicrosteps = {steps}\n", "microsteps-invalid") == [2]


@pytest.mark.parametrize(
    ("run", "hold", "found"),
    [
        ("0.8 A", "900 mA", True),
        ("0.8", "0.9", True),
        ("0.8 A", "0.8 A", False),
        ("0.8", "50", False),
        ("800", "0.5", False),
        ("0.8 A", "80 %", False),
        ("0.8 A", "900", False),
    ],
)
def test_current_at_rest(run: str, hold: str, found: bool) -> None:
    text = f"[driver x]\nrunning current = {run}\nholding current = {hold}\n"
    assert bool(lines_in(text, "hold-above-run")) is found
