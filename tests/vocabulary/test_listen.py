"""What a setting's name says before its value is looked at. Plain English, words of the trade; no source."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cfgaudit.syntax.units import unit_meaning
from cfgaudit.syntax.value import Dimension
from cfgaudit.vocabulary.catalogue import AXES
from cfgaudit.vocabulary.listen import listen
from cfgaudit.vocabulary.words import concepts, load_words

WORDS = load_words()


@pytest.mark.parametrize(
    ("key", "expected"),
    [
        ("max travel", {"max", "travel"}),
        ("maximum of the travel", {"max", "little", "travel"}),
        ("upperLimit", {"max"}),
        ("heater fan", {"heater", "fan"}),
        ("drivers", {"driver"}),
        ("sensor", {"sensor"}),
        ("thermistor", {"sensor", "temp"}),
        ("temperature sensor pin", {"sensor", "temp", "pin"}),
        ("", set()),
    ],
)
def test_concepts_are_heard_and_articles_are_not(key: str, expected: set[str]) -> None:
    said = listen(key, WORDS)
    assert (said.concepts, said.strangers) == (frozenset(expected), ())


def test_words_that_nobody_knows_are_strangers() -> None:
    assert listen("blorp of the heater", WORDS).strangers == ("blorp",)


def test_beside_a_stranger_a_letter_may_be_short_for_anything() -> None:
    said = listen("nzl_d", WORDS)
    assert (said.concepts, said.strangers) == (frozenset(), ("nzl", "d"))
    assert listen("pid d", WORDS).concepts == {"derivative"}


@pytest.mark.parametrize(
    ("key", "axis"),
    [
        ("max x", "x"),
        ("maxX", "x"),
        ("x_max", "x"),
        ("XMAX", "x"),
        ("zmin", "z"),
        ("offset y", "y"),
        ("dx", "x"),
        ("z1 offset", "z"),
        ("e max speed", "e"),
        ("max", None),
        ("x and y", None),
        ("xy plane", None),
        ("point a", None),
        ("term c", None),
    ],
)
def test_a_single_letter_is_an_axis_unless_it_may_as_well_be_a_list_mark(key: str, axis: str | None) -> None:
    assert listen(key, WORDS).axis == axis


def test_a_difference_in_one_direction_is_an_offset() -> None:
    assert listen("dy", WORDS) == listen("offset y", WORDS)


@pytest.mark.parametrize(
    ("key", "rest", "unit"),
    [
        ("max_travel_mm", "max travel", "mm"),
        ("max travel (mm)", "max travel", "mm"),
        ("maxTravelMm", "max travel", "mm"),
        ("max travel in millimetres", "max travel in", "mm"),
        ("speed_mm_s", "speed", "mm/s"),
        ("speed mm/s", "speed", "mm/s"),
        ("speed_mm_per_s", "speed", "mm/s"),
        ("speed_mm_per_min", "speed", "mm/min"),
        ("speed [mm/min]", "speed", "mm/min"),
        ("speed m/s", "speed", "m/s"),
        ("accel_mm_s2", "accel", "mm/s2"),
        ("accel mm/s²", "accel", "mm/s2"),
        ("accel mm/s^2", "accel", "mm/s2"),
        ("accel_mm_per_s2", "accel", "mm/s2"),
        ("timeout_s", "timeout", "s"),
        ("settle_ms", "settle", "ms"),
        ("pulse_us", "pulse", "us"),
        ("pulse_µs", "pulse", "us"),
        ("max_temp_celsius", "max temp", "°C"),
        ("max temp deg C", "max temp", "°C"),
        ("max temp °C", "max temp", "°C"),
        ("maxTempC", "max temp", "°C"),
        ("max_temp_c", "max temp", "°C"),
        ("pwm_freq_kHz", "pwm freq", "kHz"),
        ("run_current_ma", "run current", "mA"),
        ("run_current_mA", "run current", "mA"),
        ("run current (A)", "run current", "A"),
        ("run_current_amps", "run current", "A"),
        ("pullup_Ω", "pullup", "ohm"),
        ("pullup_kohm", "pullup", "kohm"),
        ("swing_deg", "swing", "deg"),
        ("power_w", "power", "W"),
        ("power_percent", "power", "%"),
        ("power_%", "power", "%"),
        ("supply_v", "supply", "V"),
    ],
)
def test_a_unit_at_the_end_of_a_name_is_the_values(key: str, rest: str, unit: str) -> None:
    said, plain = listen(key, WORDS), listen(rest, WORDS)
    assert (said.concepts, said.strangers, said.axis) == (plain.concepts, plain.strangers, plain.axis)
    assert said.unit == unit


@pytest.mark.parametrize(
    "key",
    ["mm", "s", "hz", "steps per mm", "mm per turn", "travel each mm", "max", "i2c", "watts", "seconds"],
)
def test_what_is_counted_by_and_a_name_that_is_nothing_else_is_no_unit(key: str) -> None:
    assert listen(key, WORDS).unit == ""


@pytest.mark.parametrize(
    ("key", "plain"),
    [("v_max", "speed max"), ("aMax", "accel max"), ("t max", "temp max"), ("T_MIN", "temp min")],
)
def test_a_letter_of_physics_before_a_bound_is_its_quantity(key: str, plain: str) -> None:
    assert listen(key, WORDS) == listen(plain, WORDS)


@pytest.mark.parametrize("key", ["v", "t pin", "max of v"])
def test_a_letter_without_a_bound_after_it_is_no_quantity(key: str) -> None:
    assert not listen(key, WORDS).concepts & {"speed", "accel", "temp"}


@given(st.text(max_size=60))
def test_any_name_is_heard(key: str) -> None:
    said = listen(key, WORDS)
    assert said.concepts <= concepts()
    assert said.axis is None or said.axis in AXES
    assert not said.concepts & {"", "filler"}


@given(
    st.lists(st.sampled_from(["max", "temp", "speed", "home", "pin", "blorp", "of"]), min_size=1, max_size=4),
    st.sampled_from(["", "x", "mm", "ms"]),
)
def test_the_hand_that_writes_a_name_changes_nothing(plain: list[str], last: str) -> None:
    named = [*plain, *([last] if last else [])]
    camel = named[0] + "".join(word.capitalize() for word in named[1:])
    hands = ["_".join(named), "-".join(named), ".".join(named), " ".join(named).upper(), camel]
    said = [listen(hand, WORDS) for hand in hands]
    assert said == [said[0]] * len(hands)


@pytest.mark.parametrize(
    ("key", "unit"),
    [
        ("timeout seconds", "s"),
        ("heater watts", "W"),
        ("pwm hz", "Hz"),
        ("pullup ohms", "ohm"),
        ("max amps", "A"),
        ("warmest celsius", "°C"),
    ],
)
def test_a_unit_that_names_its_quantity_is_heard_as_well(key: str, unit: str) -> None:
    said = listen(key, WORDS)
    assert said.unit == unit
    assert listen(key.split()[-1], WORDS).concepts <= said.concepts


def test_the_least_travel_is_no_travel_a_minute() -> None:
    assert listen("travel mm min", WORDS).concepts >= {"travel", "min"}


def test_every_unit_that_a_name_may_end_with_measures_something() -> None:
    for _, unit in WORDS.unit_words.values():
        assert unit_meaning(unit)[0] is not Dimension.NONE
