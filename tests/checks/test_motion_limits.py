"""Rules that hold settings to what follows from others: what they say, and what they must not say."""

from __future__ import annotations

import pytest

from .machine_findings import findings_in, lines_in

SHAPED = "[axis x]\nacceleration = {}\nshaper = {}\nshaper frequency = {}\n"


def test_a_rounded_reversal_is_told_with_its_numbers() -> None:
    """By hand: σ² = 0.08238 ÷ 48² s²."""
    found = findings_in(SHAPED.format(6700, "MZV", 48), "accel-beyond-shaper")
    assert [one.message for one in found] == [
        "axis x: 6700 mm/s² on MZV at 48 Hz rounds a reversal by 0.120 mm, "
        "budget 0.100 mm; 5590 would keep it"
    ]


@pytest.mark.parametrize(
    ("acceleration", "kind", "frequency", "found"),
    [
        (5590, "MZV", 48, False),
        (5700, "MZV", 48, True),
        (9300, "MZV", 61.9, False),
        (3500, "MZV", 38, False),
        (20000, "off", 48, False),
        (20000, "MZV", 0, False),
        ("5.59 m/s²", "MZV", 48, False),
        ("6.7 m/s²", "MZV", "0.048 kHz", True),
    ],
)
def test_accelerations_on_a_shaper(acceleration: object, kind: str, frequency: object, found: bool) -> None:
    assert bool(lines_in(SHAPED.format(acceleration, kind, frequency), "accel-beyond-shaper")) is found


def test_an_acceleration_that_the_machine_never_allows_rounds_nothing() -> None:
    text = "[machine]\nhighest acceleration = 3000\n" + SHAPED.format(9000, "MZV", 48)
    assert lines_in(text, "accel-beyond-shaper") == []


@pytest.mark.parametrize(
    ("lines", "found"),
    [
        ("home backoff = 5", False),
        ("home backoff = 4.9", True),
        ("home backoff = 3\nlowest = -6\nhighest = 200\nhome position = 0", False),
        ("home backoff = 0", False),
        ("", False),
    ],
)
def test_running_on_behind_the_switch(lines: str, found: bool) -> None:
    """Common practice, no source: 5 mm from 100 mm/s at 1000 mm/s²."""
    text = f"[axis x]\nhome speed = 100\nacceleration = 1000\n{lines}\n"
    assert bool(lines_in(text, "home-overrun")) is found


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("[axis x]\nlowest = 0\nhighest = 90\ntop speed = 300\nacceleration = 1000\n", False),
        ("[axis x]\nlowest = 0\nhighest = 89\ntop speed = 300\nacceleration = 1000\n", True),
        ("[axis x]\nlowest = 89\nhighest = 0\ntop speed = 300\nacceleration = 1000\n", False),
        ("[machine]\ntop speed = 300\n[axis z]\nlowest = 0\nhighest = 89\nacceleration = 90\n", False),
        (
            "[axis z]\nlowest = 0\nhighest = 89\n[motor z]\nstep = PA1\ntop speed = 300\nacceleration = 90\n",
            True,
        ),
    ],
)
def test_speeds_that_the_travel_is_too_short_for(text: str, found: bool) -> None:
    assert bool(lines_in(text, "top-speed-unreachable")) is found


@pytest.mark.parametrize("distance", [1, 2, 4, 8, 16, 20, 32, 36, 39, 40, 48, 51, 60, "40.0 mm", "0.8 cm"])
def test_belts_and_screws_of_the_trade(distance: object) -> None:
    """Common practice: leads of 1, 2, 4 and 8 mm; belts of 2 or 3 mm pitch with a whole number of teeth."""
    text = f"[motor x]\nstep = PA1\ndirection = PA2\ntravel per turn = {distance}\n"
    assert lines_in(text, "travel-per-turn-odd") == []


@pytest.mark.parametrize(
    ("section", "distance", "found"),
    [
        ("motor x", "39.94", True),
        ("motor z", "8.02", True),
        ("motor z", "7", True),
        ("extruder", "22.678", False),
        ("feeder motor", "4.637", False),
        ("motor a", "7.5", False),
        ("motor lift", "7.97", False),
        ("motor x", "{turn}", False),
        ("motor x", "360 deg", False),
    ],
)
def test_which_turns_are_odd(section: str, distance: str, found: bool) -> None:
    text = f"[{section}]\nstep = PA1\ndirection = PA2\ntravel per turn = {distance}\n"
    assert bool(lines_in(text, "travel-per-turn-odd")) is found


DRIVER = "[driver x]\nmodel = TMC2209\nsense resistor = 0.11 ohm\n{} = {}\n"


@pytest.mark.parametrize(
    ("name", "current", "severity"),
    [
        ("running current", "1.77 A", None),
        ("running current", "1.9 A", "warning"),
        ("running current", "2.6 A", "error"),
        ("rms current", "1.9 A", "error"),
        ("peak current", "2.4 A", None),
        ("peak current", "2.6 A", "error"),
        ("running current", "1900 mA", "warning"),
        ("running current", "1900", "warning"),
        ("running current", "31", None),
        ("running current", "100 %", None),
    ],
)
def test_currents_beyond_a_driver(name: str, current: str, severity: str | None) -> None:
    """TMC2209 at 0.11 Ω: 1.77 A RMS (data sheet), 2.5 A peak."""
    found = findings_in(DRIVER.format(name, current), "current-beyond-driver")
    assert [one.severity for one in found] == ([severity] if severity else [])


@pytest.mark.parametrize(
    ("chip", "steps", "found"),
    [
        ("A4988", 16, False),
        ("A4988", 32, True),
        ("DRV8825", 32, False),
        ("TMC2209", 256, False),
        ("SD9", 256, False),
    ],
)
def test_microsteps_that_a_chip_does_not_have(chip: str, steps: int, found: bool) -> None:
    """The makers' data sheets (from memory)."""
    text = f"[motor x]\nmicrosteps = {steps}\n[driver x]\nmotor = x\nmodel = {chip}\n"
    assert bool(lines_in(text, "microsteps-invalid")) is found


@pytest.mark.parametrize(
    ("address", "found"), [(0, False), (3, False), (4, True), ("0x03", False), ("{a}", False)]
)
def test_addresses_of_drivers_on_one_wire(address: object, found: bool) -> None:
    """Trinamic, data sheet TMC2209: node addresses 0 to 3."""
    text = f"[driver x]\nmodel = TMC2209\nuart = PA3\naddress = {address}\n"
    assert bool(lines_in(text, "address-beyond-chip")) is found


CROSSED = (
    "[kinematics]\nkind = {}\n[axis x]\nstep = PA1\ndirection = PA2\nhighest = 300\nmicrosteps = {}\n"
    "[axis y]\nstep = PA3\ndirection = PA4\nhighest = 280\nmicrosteps = {}\n"
)


@pytest.mark.parametrize(
    ("layout", "first", "second", "found"),
    [
        ("CoreXY", 16, 32, [12]),
        ("CoreXY", 16, 16, []),
        ("cartesian", 16, 32, []),
        ("hybrid CoreXY", 16, 32, []),
        ("CoreXZ", 16, 32, []),
    ],
)
def test_motors_of_crossed_belts_are_alike(layout: str, first: int, second: int, found: list[int]) -> None:
    assert lines_in(CROSSED.format(layout, first, second), "paired-motors-differ") == found


Z_STEP = "[axis z]\nfull steps = 200\nmicrosteps = 16\ntravel per turn = 8\n[probe]\nsignal = PC1\n"


@pytest.mark.parametrize(
    ("tolerance", "found"), [("0.0025", False), ("0.002", True), ("2 um", True), ("0", False), ("{t}", False)]
)
def test_a_tolerance_and_a_step_of_z(tolerance: str, found: bool) -> None:
    """1 ÷ 400 mm a step (common practice: a screw of 8 mm lead)."""
    assert bool(lines_in(f"{Z_STEP}tolerance = {tolerance}\n", "tolerance-below-step")) is found
