"""References that settings state."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.machine.model import Machine, Reference
from machine.readings import machine_of, part_of

PARTS = """
[heater plate]
coil = PA1
[heater chamber-air]
coil = PA2
[sensor chamber-air]
ear = PA3
[fan Part Cooler]
blow = PA4
[axis x]
low = 0
[motor x]
step = PA5
[driver x]
wires = PA6
[axis y]
low = 0
[macro park]
says = G28
[board main]
[board tool head]
"""


def stated(machine: Machine) -> list[Reference]:
    return [one for one in machine.references if not one.implied]


def resolve(setting: str, kind: str = "guard") -> list[Reference]:
    return stated(machine_of(f"{PARTS}[{kind} tested]\n{setting}\n"))


def targets(setting: str, kind: str = "guard") -> list[str]:
    return [one.target.title if one.target else f"? {one.text}" for one in resolve(setting, kind)]


@pytest.mark.parametrize(
    "text",
    [
        "plate",
        "PLATE",
        "heater plate",
        "heater-plate",
        "heaterPlate",
        "plate heater",
        '"plate"',
        "Heater_Plate",
        "[heater plate]",
    ],
)
def test_name_label_and_whole_section_name_mean_the_part(text: str) -> None:
    assert targets(f"heats = {text}") == ["heater plate"]


@given(
    words=st.permutations(["heater", "chamber", "air"]).filter(
        lambda words: words.index("air") == words.index("chamber") + 1
    ),
    joint=st.sampled_from([" ", "-", "_", ".", "  "]),
    style=st.sampled_from([str.lower, str.upper, str.title]),
)
@settings(max_examples=40)
def test_resolving_is_independent_of_case_and_separators(words: list[str], joint: str, style: object) -> None:
    assert callable(style)
    assert targets(f"heats = {style(joint.join(words))}") == ["heater chamber-air"]


@given(name=st.from_regex(r"[a-z]{3,8}", fullmatch=True), joint=st.sampled_from("-_. "), upper=st.booleans())
@settings(max_examples=40)
def test_a_two_word_name_is_found_in_any_spelling(name: str, joint: str, upper: bool) -> None:
    text = f"{name}{joint}left"
    machine = machine_of(
        f"[heater {name} left]\ncoil = PA1\n[guard one]\nheats = {text.upper() if upper else text}\n"
    )
    (reference,) = stated(machine)
    assert reference.target is part_of(machine, "heater", f"{name} left")


def test_of_parts_with_one_name_the_wanted_kind_is_taken() -> None:
    assert targets("heats = chamber-air") == ["heater chamber-air"]
    assert targets("feels = chamber-air", "heater") == ["sensor chamber-air"]
    assert targets("turns = x", "level") == ["motor x"]
    assert targets("moves = x", "shaper") == ["axis x"]


def test_further_items_after_a_comma_are_no_names() -> None:
    assert targets("heats = heater plate, from 30 °C") == ["heater plate"]
    assert targets("heats = plate, slowly") == ["heater plate"]


@pytest.mark.parametrize(
    "text",
    [
        "plate, chamber-air",
        "plate chamber-air",
        "plate and chamber-air",
        "\n  plate\n  chamber-air",
        "all",
        "every",
    ],
)
def test_lists_name_several(text: str) -> None:
    assert targets(f"heats = {text}") == ["heater plate", "heater chamber-air"]


def test_one_wrong_name_in_a_list_is_missed() -> None:
    found = resolve("heats = plate, chamber-aor")
    assert [(one.text, one.target is None, one.sure, one.nearest) for one in found] == [
        ("plate", False, True, None),
        ("chamber-aor", True, True, "chamber-air"),
    ]


@pytest.mark.parametrize("text", ["none", "no", "-", "off", "false", "${where}", "yes"])
def test_none_and_switches_and_templates_are_no_references(text: str) -> None:
    assert resolve(f"heats = {text}") == []


def test_a_name_that_nothing_has_is_surely_missing_with_the_nearest() -> None:
    (reference,) = resolve("heats = platte")
    assert (reference.target, reference.sure, reference.nearest) == (None, True, "plate")
    assert reference.meaning is not None
    assert reference.meaning.text == "platte"


def test_a_missing_name_like_no_other_is_sure_where_such_parts_exist() -> None:
    (reference,) = resolve("heats = attic")
    assert (reference.target, reference.sure, reference.nearest) == (None, True, None)


@pytest.mark.parametrize(
    "text",
    [
        "XT4711",
        "NTC100K",
        "42",
        "3.3 V",
        "PB12",
        "generic thermistor",
        "/dev/something",
        "it depends on the weather",
    ],
)
def test_types_numbers_pins_and_prose_are_not_surely_names(text: str) -> None:
    (reference,) = resolve(f"feels = {text}", "heater")
    assert (reference.target, reference.sure) == (None, False)


def test_nothing_is_surely_missing_where_no_such_part_exists() -> None:
    (reference,) = stated(machine_of("[fan a]\nblow = PA1\n[guard b]\nheats = attic\n"))
    assert (reference.target, reference.sure) == (None, False)


def test_a_part_of_another_kind_is_the_target_but_does_not_suit() -> None:
    (reference,) = resolve("heats = Part Cooler")
    assert reference.target is not None
    assert (reference.kind, reference.target.kind, reference.suits) == ("heater", "fan", False)


def test_a_section_that_nobody_understands_may_be_anything() -> None:
    (reference,) = stated(machine_of("[heater a]\n[gizmo]\n[guard b]\nheats = gizmo\n"))
    assert reference.target is not None
    assert reference.suits


def test_a_heater_stands_in_for_its_sensor_and_an_axis_for_its_motor() -> None:
    assert targets("feels = plate", "fan") == ["heater plate"]
    assert targets("turns = axis y", "level") == ["axis y"]
    assert all(one.suits for one in [*resolve("feels = plate", "fan"), *resolve("turns = y", "level")])


def test_a_heater_does_not_stand_in_for_its_own_sensor() -> None:
    machine = machine_of("[heater plate]\nfeels = plate\n[sensor other]\near = PA1\n")
    assert [one.target for one in stated(machine)] == [None]


@pytest.mark.parametrize(
    ("text", "letters"), [("x", "x"), ("x, y", "xy"), ("x y", "xy"), ("xy", "xy"), ("x, -y", "xy")]
)
def test_axes_are_named_by_letters(text: str, letters: str) -> None:
    assert targets(f"moves = {text}", "accelerometer") == [f"axis {letter}" for letter in letters]


def test_an_axis_that_only_a_motor_or_a_limit_shows_exists() -> None:
    machine = machine_of(
        "[motor x]\nstep = PA1\n[motion]\nfast y = 3\n[shaper a]\nmoves = x\n[shaper b]\nmoves = y\n"
    )
    assert [(one.target and one.target.kind, one.suits) for one in stated(machine)] == [
        ("motor", True),
        ("motion", True),
    ]


def test_a_missing_axis_is_sure_only_beside_axes_of_the_same_letters() -> None:
    assert [one.sure for one in resolve("moves = z", "shaper")] == [True]
    towers = "[axis a]\nlow = 0\n[axis b]\nlow = 0\n[shaper one]\nmoves = x\n"
    assert [one.sure for one in stated(machine_of(towers))] == [False]


def test_a_macro_may_be_the_firmware_own_unless_it_misses_one_by_a_letter() -> None:
    assert targets("plays = macro park", "filament") == ["macro park"]
    assert targets("plays = park fast=1", "filament") == ["macro park"]
    assert [one.sure for one in resolve("plays = pause", "filament")] == [False]
    assert [(one.sure, one.nearest) for one in resolve("plays = prk", "filament")] == [(True, "park")]


def test_a_board_is_named_and_a_board_own_board_is_its_type() -> None:
    assert targets("lives = toolHead", "accelerometer") == ["board tool head"]
    assert [one.sure for one in resolve("lives = attic", "accelerometer")] == [True]
    assert [one.sure for one in resolve("lives = attic", "board")] == [False]


def test_a_nameless_board_is_the_main_one() -> None:
    machine = machine_of("[board]\n[board tool]\n[sensor a]\nlives = main\n")
    assert [one.target for one in stated(machine)] == [part_of(machine, "board", "")]


def test_a_kind_word_of_the_builder_own_vocabulary_may_stand_before_the_name() -> None:
    machine = machine_of(
        "[heater+thermostat oven]\ncoil = PA1\n[heater hob]\ncoil = PA2\n[guard b]\nheats = thermostat oven\n"
    )
    assert [one.target and one.target.name for one in stated(machine)] == ["oven"]


def test_the_only_part_of_a_kind_answers_to_its_kind() -> None:
    machine = machine_of("[probe left]\ntouch = PA1\n[mesh]\ndips = probe\n")
    assert [one.target for one in stated(machine)] == [part_of(machine, "probe", "left")]
    machine = machine_of("[probe left]\ntouch = PA1\n[probe right]\ntouch = PA2\n[mesh]\ndips = probe\n")
    assert [(one.target, one.sure) for one in stated(machine)] == [(None, False)]


def test_shared_meanings_make_one_reference() -> None:
    machine = machine_of("[board main]\n[motor+heater feeder]\nlives = main\n")
    assert len(stated(machine)) == 1


def test_the_last_words_of_a_name_are_enough_where_only_one_part_has_them() -> None:
    motors = "[motor z front left]\nstep = PA1\n[motor z rear]\nstep = PA2\n"
    machine = machine_of(f"{motors}[level]\nturns = front-left, rear\n")
    assert [one.target and one.target.name for one in stated(machine)] == ["z front left", "z rear"]


@pytest.mark.parametrize("text", ["motors", "printing", "thermocouple K", "always", "usb", "own PID"])
def test_words_for_kinds_types_and_states_are_not_surely_names(text: str) -> None:
    (reference,) = resolve(f"heats = {text}", "fan")
    assert (reference.target, reference.sure) == (None, False)


@pytest.mark.parametrize("quote", ['"', "'"])
def test_quotation_marks_are_no_part_of_a_name(quote: str) -> None:
    assert targets(f"heats = {quote}plate{quote}, {quote}chamber-air{quote}") == [
        "heater plate",
        "heater chamber-air",
    ]
    (missing,) = resolve(f"heats = {quote}platte{quote}")
    assert (missing.text, missing.sure, missing.nearest) == ("platte", True, "plate")
    assert resolve(f"heats = {quote}none{quote}") == []


def test_a_long_name_that_misses_one_by_a_letter_is_surely_a_name() -> None:
    text = "[heater unit for the print plate]\ncoil = PA1\n[guard b]\nheats = unit for the print plte\n"
    (reference,) = stated(machine_of(text))
    assert (reference.sure, reference.nearest) == (True, "unit for the print plate")
    (reference,) = stated(machine_of(text.replace("print plte", "moon")))
    assert not reference.sure


@pytest.mark.parametrize("text", ["PA6", "pc1", "A4"])
def test_what_may_be_a_pin_is_not_surely_a_name(text: str) -> None:
    (reference,) = resolve(f"feels = {text}", "heater")
    assert (reference.target, reference.sure) == (None, False)


def test_the_own_name_is_no_slip_for_itself() -> None:
    machine = machine_of("[fan bay]\nfeels = bay\n[sensor lid]\near = PA1\n")
    assert [(one.target, one.sure, one.nearest) for one in stated(machine)] == [(None, True, None)]


@pytest.mark.parametrize("section", ["sensor low bay left", "gizmo bay"])
def test_what_the_name_of_another_section_holds_is_not_surely_missing(section: str) -> None:
    sensors = "[sensor lid]\near = PA1\n[sensor high bay right]\near = PA2\n"
    machine = machine_of(f"{sensors}[{section}]\near = PA3\n[fan bay]\nfeels = bay\n")
    assert [one.sure for one in stated(machine) if one.target is None] in ([], [False])


def test_the_first_words_of_a_name_are_enough_where_only_one_part_has_them() -> None:
    machine = machine_of(
        "[motor z1FrontRail]\nstep = PA1\n[motor z2RearRail]\nstep = PA2\n[level]\nturns = motor z1, z2\n"
    )
    assert [one.target and one.target.name for one in stated(machine)] == ["z1FrontRail", "z2RearRail"]
