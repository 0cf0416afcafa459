"""Rules of reference: what they say, and what they must not say of machines that are as they should be."""

from __future__ import annotations

import pytest

from .machine_findings import findings_in, lines_in

HEATER = "[heater plate]\npin = PA1\nthermistor pin = PC0\nlowest temp = 0\nhighest temp = 110\n"


@pytest.mark.parametrize(
    "name", ["plate", "Plate", "heater plate", "heater_plate", "HeaterPlate", "all", "none", "{plate}"]
)
def test_every_way_to_name_a_part_is_understood(name: str) -> None:
    assert lines_in(f"{HEATER}[guard plate]\nheater = {name}\n", "reference-dangling") == []


def test_a_name_that_nothing_has_comes_with_the_nearest() -> None:
    found = findings_in(f"{HEATER}[guard plate]\nheater = plat\n", "reference-dangling")
    assert [(one.where.line, one.where.column, one.advice) for one in found] == [
        (7, 10, "Did you mean plate?")
    ]


@pytest.mark.parametrize(
    "line",
    [
        "sensor kind = NTC 100k B3950",
        "sensor = TDK-B57560",
        "driver = TMC2240",
        "sensor = PT1000",
        "fan = off",
    ],
)
def test_types_of_components_are_no_names_of_parts(line: str) -> None:
    sensor = "[sensor air]\npin = PC1\n[driver x]\nmodel = TMC2209\n[fan case]\npin = PA8\n"
    text = f"{HEATER}{line}\n{sensor}"
    assert lines_in(text, "reference-dangling") == []
    assert lines_in(text, "reference-wrong-part") == []


def test_a_section_that_is_motor_and_heater_serves_as_either() -> None:
    extruder = "[extruder]\nstep pin = PA2\nheater pin = PA3\nthermistor pin = PC3\n"
    users = (
        "[guard]\nheater = extruder\n[driver e]\nmotor = extruder\n[fan cold]\npin = PA4\nheater = extruder\n"
    )
    text = extruder + users
    assert lines_in(text, "reference-wrong-part") == []


def test_a_heater_stands_for_the_sensor_that_it_carries() -> None:
    text = f"{HEATER}[fan case]\npin = PA8\nsensor = plate\nstarts at = 60\n"
    assert lines_in(text, "reference-wrong-part") == []
    assert lines_in(text, "reference-dangling") == []


@pytest.mark.parametrize(
    ("target", "wrong"),
    [
        ("[heater tool]\nheater pin = PB3\nthermistor pin = PC3\nstep pin = PB1\n", False),
        ("[heater tool]\nheater pin = PB3\nthermistor pin = PC3\n", True),
        ("[tool]\nheater pin = PB3\nthermistor pin = PC3\nlowest temp = 0\nhighest temp = 250\n", False),
    ],
)
def test_only_a_section_that_says_what_it_is_cannot_be_something_else(target: str, wrong: bool) -> None:
    assert bool(lines_in(f"{target}[driver e]\nmotor = tool\n", "reference-wrong-part")) is wrong


def test_a_section_that_has_the_asked_word_in_its_name_is_no_wrong_part() -> None:
    text = "[sensor drivers]\npin = PC1\n[heater plate]\npin = PA1\nsensor = sensor drivers\n"
    project = '[parts]\n"sensor drivers" = "driver"\n'
    assert lines_in(text, "reference-wrong-part", project) == []


@pytest.mark.parametrize(
    ("line", "wrong"),
    [
        ("heater = lamp", True),
        ("watched heater = lamp", True),
        ("follows = lamp", False),
        ("runs with = lamp", False),
        ("follows = motor x", False),
        ("runs with = fan bay", False),
        ("heater = plate", False),
    ],
)
def test_a_fan_may_follow_what_its_words_do_not_rule_out(line: str, wrong: bool) -> None:
    others = "[light lamp]\npin = PA5\n[motor x]\nstep pin = PA6\n[fan bay]\npin = PA7\n"
    text = f"{HEATER}{others}[fan case]\npin = PA8\n{line}\n"
    assert bool(lines_in(text, "reference-wrong-part")) is wrong
    assert lines_in(text, "reference-dangling") == []


@pytest.mark.parametrize(
    ("section", "found"),
    [
        ("[motor x]\nstep pin = annex.PA2\ndirection pin = annex.PA3\nsits on = annex\n", False),
        ("[motor x]\nstep pin = PA2\ndirection pin = PA3\nsits on = annex\n[the annex]\n", False),
        ("[motor x]\nstep pin = PA2\ndirection pin = PA3\nsits on = annex\n", True),
        ("[motor x]\nstep pin = PA2\ndirection pin = PA3\naxis = annex\n", True),
        ("[motor x]\nstep pin = PA2\ndirection pin = PA3\nbelongs to = axis yy\n", True),
        ("[guard plate]\nbelongs to = annex\n", True),
    ],
)
def test_what_a_wired_part_sits_on_may_be_a_board(section: str, found: bool) -> None:
    text = f"{HEATER}[axis x]\nlowest = 0\n[axis y]\nlowest = 0\n{section}"
    assert bool(lines_in(text, "reference-dangling")) is found


THREE_SENSORS = "".join(
    f"[sensor {name}]\npin = PC{number}\n" for number, name in enumerate(("lid", "bay", "plate"))
)
LID, BAY = "[fan a]\npin = PA1\nsensor = lid\n", "[fan b]\npin = PA2\nsensor = bay\n"


@pytest.mark.parametrize(
    ("rest", "unused"),
    [(LID + BAY, [5]), (LID, []), (f"{LID}{BAY}[odd thing]\ntells = PLATE, lid\n", []), ("", [])],
    ids=[
        "one of three is left over",
        "two are left over",
        "named by what nobody understands",
        "none is used",
    ],
)
def test_a_part_is_unused_only_where_it_alone_is_left_over(rest: str, unused: list[int]) -> None:
    assert lines_in(THREE_SENSORS + rest, "part-unused") == unused


def test_a_copied_list_of_all_pins_is_used_by_a_few() -> None:
    text = "[aliases]\na = PA1\nb = PA2\nc = PA3\n[fan case]\npin = a\n"
    assert lines_in(text, "part-unused") == []


def test_a_list_of_aliases_of_which_none_is_used() -> None:
    text = "[aliases lid]\na = PA1\n[aliases rear]\nb = PA2\nc = PA3\n[fan case]\npin = a\n"
    assert lines_in(text, "part-unused") == [3]


@pytest.mark.parametrize(
    ("pairs", "clash"),
    [
        ("D7=PB4, D8=PB5", False),
        ("A0=PC0, AD1=PC1", False),
        ("PA1=PA1", False),
        ("PA1=PA2", True),
        ("gpio4=gpio5", True),
        ("lamp=PA1, fan=PA1", False),
        ("lamp=PA1, Lamp=PA1", False),
        ("lamp=PA1, Lamp=PA2", True),
        ("exp1_1=PA1, exp1_2=PA2", False),
    ],
)
def test_aliases(pairs: str, clash: bool) -> None:
    assert bool(lines_in(f"[aliases]\nnames = {pairs}\n", "alias-clash")) is clash


def test_two_boards_may_use_one_name() -> None:
    boards = "[board main]\nchip = STM32F407\n[board head]\nchip = RP2040\n"
    text = f"{boards}[aliases main]\nlamp = PA1\n[aliases head]\nlamp = gpio3\n"
    assert lines_in(text, "alias-clash") == []


def macro(name: str, *body: str) -> str:
    return f"[macro {name}]\nbody =\n" + "".join(f"    {line}\n" for line in body)


@pytest.mark.parametrize(
    "call",
    [
        "wipe_nozzle",
        "WIPE-NOZZLE",
        "home_all",
        "wipe-nozzles",
        "wipe-nozzle-2",
        "wipe",
        "G29",
        "{wipe-nozle}",
    ],
)
def test_what_may_be_a_command_of_the_firmware_is_no_fault(call: str) -> None:
    text = macro("wipe-nozzle", "G90") + macro("start", call)
    assert lines_in(text, "macro-call-undefined") == []


@pytest.mark.parametrize(
    "line",
    [
        "wipe-nozle",
        "wipe-nozle a=1",
        'wipe-nozle "left"',
        "wipe-nozle now",
        "wipe nozle",
        "wipe nozle 3",
        "call wipe-nozle",
        "CALL Wipe_Nozle fast=1",
        "do wipe-nozle",
        "run wipe nozle",
        'execute "wipe-nozle"',
        "run macro=wipe-nozle",
        "routine wipe-nozle",
        "routinewipenozle",
    ],
)
def test_a_slip_is_found_however_a_macro_is_called(line: str) -> None:
    text = "[routine wipe-nozzle]\nbody =\n    G90\n[routine start]\nbody =\n    G28\n    " + line + "\n"
    (found,) = findings_in(text, "macro-call-undefined")
    assert (found.where.line, "wipe" in (found.advice or "")) == (7, True)


@pytest.mark.parametrize(
    "line",
    [
        "call wipe-nozzle",
        "do wipe nozzle",
        "run routine wipe-nozzle",
        "wipe-nozzle now",
        "call wipe-nozzle then park",
        "say wipe-nozle",
        "wipe-nozle = 3",
        "wipe-nozle += 1",
        "if wipe-nozle",
        "set nozle 3",
        'say "wipe-nozle"',
        "wipe-nozle is what comes next",
        "M117 wipe-nozle",
        "call wipe-nozzle-2",
        "{call wipe-nozle}",
        "call {wipe-nozle}",
        "; call wipe-nozle",
    ],
)
def test_what_is_called_rightly_or_not_at_all_is_no_slip(line: str) -> None:
    text = "[routine wipe-nozzle]\nbody =\n    G90\n[routine start]\nbody =\n    G28\n    " + line + "\n"
    assert lines_in(text, "macro-call-undefined") == []


def test_a_short_name_is_judged_behind_a_word_that_calls_macros_elsewhere() -> None:
    macros = macro("dip", "G90") + macro("home", "G28")
    assert lines_in(macros + macro("start", "call dop"), "macro-call-undefined") == []
    assert lines_in(macros + macro("start", "call home", "call dop"), "macro-call-undefined") == [10]
    assert lines_in(macros + macro("start", "hey home", "hey dop"), "macro-call-undefined") == [10]


def test_a_command_that_is_used_again_and_again_is_no_slip() -> None:
    text = (
        macro("set-lamps", "G90") + macro("one", "set-lamp on=1", "set-lamp on=0") + macro("two", "set-lamp")
    )
    assert lines_in(text, "macro-call-undefined") == []


def test_a_wrapper_may_be_named_like_what_it_wraps() -> None:
    assert lines_in(macro("xpause", "G91", "pause"), "macro-call-undefined") == []


COMMANDS = '[firmware]\ncommands = ["home", "set_lamp"]\n'


def test_with_a_list_of_commands_every_other_name_is_undefined() -> None:
    text = macro("start", "home", "SET-LAMP on=1", "start-2", "M117 hello you", "sett_lamp")
    found = findings_in(text, "macro-call-undefined", COMMANDS)
    assert [(one.where.line, one.advice) for one in found][-1] == (7, "Did you mean SET-LAMP?")
    assert [one.where.line for one in found] == [5, 7]


def test_a_circle_of_calls_is_told_once_with_its_way() -> None:
    text = macro("one", "two") + macro("two", "three") + macro("three", "one", "four") + macro("four", "G90")
    found = findings_in(text, "macro-calls-itself")
    assert [(one.where.line, one.message) for one in found] == [
        (3, "macro one calls itself through two, three")
    ]
    assert [place.line for place in found[0].related] == [6, 9]


def test_a_macro_may_wrap_the_firmwares_command_of_its_name() -> None:
    text = macro("home", "G90", "home")
    assert lines_in(text, "macro-calls-itself") == [4]
    assert lines_in(text, "macro-calls-itself", COMMANDS) == []


def test_a_name_in_quotes_is_found_inside_them() -> None:
    guards = '[guard "plate"]\nheater = "plate"\n[guard "tip"]\nheater = "tipp"\n'
    (found,) = findings_in(f"{HEATER}{guards}", "reference-dangling")
    assert (found.where.line, found.where.column, found.where.end_column) == (9, 11, 15)


@pytest.mark.parametrize(
    ("written", "found"),
    [
        ("nozle", True),
        ("nozzel", True),
        ("nozzle", False),
        ("thermistor", False),
        ("Pt1000", False),
        ("own", False),
    ],
)
def test_a_slip_in_the_name_of_a_sensor_is_no_type_of_sensor(written: str, found: bool) -> None:
    heater = f"[heater tip]\npin = PA1\nsensor = {written}\nlowest = 0\nhighest = 280\n"
    text = f"{heater}[sensor nozzle]\npin = PC1\n"
    assert lines_in(text, "reference-dangling") == ([3] if found else [])


def test_a_heater_with_a_sensor_of_its_own_names_none() -> None:
    text = "[heater tip]\npin = PA1\nsensor pin = PC2\nsensor = nozle\n[sensor nozzle]\npin = PC1\n"
    assert lines_in(text, "reference-dangling") == []
