"""Values written otherwise: equal where they say the same, different where there is any doubt."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cfgaudit.machine.forms import equal_values

SAME = [
    # role, one spelling, another; conversions by the SI prefixes and ISO 80000-3 (minute)
    (None, "1.0", "1"),
    ("temp.max", "110", "110.0 °C"),
    ("current.run", "0.5 A", "500 mA"),
    ("current.run", "0.5", "500 mA"),
    ("guard.time", "90", "1.5 min"),
    ("home.speed", "40 mm/s", "2400 mm/min"),
    ("sensor.pullup", "4.7k", "4700"),
    ("sensor.pullup", "4.7 k", "4700 ohm"),
    ("board.bitrate", "500 kbit/s", "500000"),
    ("power.max", "80 %", "0.8"),
    ("guard.rise", "2 K", "2 °C"),
    ("debounce", "2 ms", "0.002 s"),
    ("mesh.count", "10 x 20", "10, 20"),
    ("mesh.count", "10,20", "10 ,  20"),
    ("mesh.low", "30 mm, 30 mm", "30 x 30 mm"),
    ("level.points", "60, 60,\n70, 70", "60, 60, 70, 70"),
    ("gear.ratio", "60:16", "3.75"),
    ("gear.ratio", "3:1, 2:1", "6"),
    ("steps.micro", "1/16", "16"),
    (None, "yes", "true"),
    (None, "on", "True"),
    (None, "off", "no"),
    (None, "two  words", "two words"),
    ("pin.step", "PB_12", "PB12"),
    ("pin.step", "main.PB12", "main: PB12"),
    ("pin.endstop", "!^PB12", "^!PB12"),
    ("pin.endstop", "PB12 pull-up inverted", "PB12 inverted pull up"),
    ("macro.body", "G1 X10 ; go\n\nG28", "  G01   X10.0\nG28 ( home )"),
]

DIFFERENT = [
    (None, "1", "2"),
    (None, "1", "yes"),
    (None, "5 mm", "5 s"),
    (None, "5 mm", "5"),
    (None, "3 teeth", "3 turns"),
    (None, '"1"', "1"),
    (None, "warm", "Warm"),
    ("temp.max", "300 K", "300 °C"),
    ("current.run", "0.5 A", "500"),
    ("power.max", "80 %", "80"),
    ("mesh.count", "10 x 20", "20 x 10"),
    ("travel.max", "0 .. 420", "0, 420"),
    ("level.points", "1, 2\n3, 4", "1, 2, 3, 4"),
    (None, "0,4", "0.4"),
    (None, "9007199254740993", "9007199254740992"),
    ("pin.step", "PB12", "!PB12"),
    ("pin.step", "main.PB12", "head.PB12"),
    ("pin.endstop", "PB12", "PB12 pull-up"),
    ("macro.body", "G1 X10", "G1 X11"),
    ("macro.body", "G1 X10\nG28", "G28\nG1 X10"),
    ("macro.body", "wipe level=1", "wipe level=2"),
]


@pytest.mark.parametrize(("role", "one", "other"), SAME)
def test_the_same_written_otherwise(role: str | None, one: str, other: str) -> None:
    assert equal_values(one, other, role)
    assert equal_values(other, one, role)


@pytest.mark.parametrize(("role", "one", "other"), DIFFERENT)
def test_in_doubt_it_is_another_value(role: str | None, one: str, other: str) -> None:
    assert not equal_values(one, other, role)
    assert not equal_values(other, one, role)


NUMBERS = st.decimals(min_value=-9999, max_value=9999, places=3)


@given(NUMBERS)
def test_amperes_and_milliamperes(amount: object) -> None:
    """SI: 1 A is 1000 mA; decimal arithmetic knows what a float only nears."""
    assert equal_values(f"{amount} A", f"{amount * 1000:f} mA", "current.run")  # type: ignore[operator]


@given(NUMBERS, NUMBERS)
def test_two_numbers_are_equal_if_and_only_if_they_are(one: object, other: object) -> None:
    assert equal_values(f"{one}", f"{other}", "travel.max") == (one == other)


@given(st.text(max_size=40), st.text(max_size=40))
def test_any_two_texts_compare_alike_from_both_sides(one: str, other: str) -> None:
    assert equal_values(one, one)
    for role in (None, "temp.max", "pin.step", "macro.body", "gear.ratio", "mesh.count"):
        assert equal_values(one, other, role) == equal_values(other, one, role)
