"""Wiring: what must be found beyond the cards' examples, and what must raise no alarm."""

from __future__ import annotations

import pytest

from tests.checks.finding_lines import findings, said

SHARED, MALFORMED, UNKNOWN = "pin-shared", "pin-malformed", "pin-board-unknown"

SILENT = {
    "one uart line, told apart by addresses": """
        [driver x]
        uart    = PD11
        address = 0
        [driver y]
        uart    = PD11
        address = 1
    """,
    "one enable line for two motors": """
        [motor x]
        step = PE2
        direction = PE3
        enable = PE4
        [motor y]
        step = PE5
        direction = PE6
        enable = PE4
    """,
    "clock and data of two devices with a select line each": """
        [accelerometer head]
        select   = PB1
        clock    = PA5
        data in  = PA6
        data out = PA7
        [display front]
        select   = PB2
        clock    = PA5
        data in  = PA6
        data out = PA7
    """,
    "a chain of drivers behind one select line": """
        [driver x]
        select   = PB1
        address  = 1
        [driver y]
        select   = PB1
        address  = 2
    """,
    "the driver's stall line is the axis's switch": """
        [driver x]
        model = TMC2209
        stall output pin = PB12
        [endstop x]
        switch = PB12
    """,
    "both motors of z stop at one switch": """
        [endstop z left]
        axis = z
        switch = PB12
        [endstop z right]
        axis = z
        switch = PB12
    """,
    "a heater and a sensor that it names": """
        [heater bed]
        drive       = PD12
        sensor pin  = PC0
        sensor      = plate
        lowest      = 5
        highest     = 110
        [sensor plate]
        input = PC0
    """,
    "one section is a motor and a heater": """
        [extruder]
        step pin    = PE2
        direction   = PE3
        heater pin  = PD12
        thermistor pin = PC0
        lowest temp = 5
        highest temp = 280
    """,
    "the same number on two boards": """
        [board main]
        chip = RP2040
        [board head]
        chip = RP2040
        [fan bay]
        drive = main.gpio4
        [fan cold-side]
        drive = head.gpio4
    """,
    "an alias is a name, not a use": """
        [aliases]
        fan-plug = PA8
        [fan bay]
        drive = fan-plug
    """,
    "rails and what is not connected": """
        [fan bay]
        drive = PA8
        tacho = none
        [fan lid]
        drive = PA9
        tacho = none
        [output spare]
        pin = <GND>
        [output other]
        pin = <GND>
    """,
    "a word that was taken for a pin": """
        [heater bed]
        drive       = PD12
        control     = fuzzy
        thermometer = PC0
        lowest      = 5
        highest     = 110
        [heater chamber]
        drive       = PD13
        control     = fuzzy
        thermometer = PC1
        lowest      = 5
        highest     = 65
    """,
    "a servo and the probe that it swings": """
        [servo arm]
        pin = PA3
        [probe]
        pin = PC14
        servo pin = PA3
    """,
    "a template": """
        [fan bay]
        drive = ${bay_pin}
        [fan lid]
        drive = ${bay_pin}
    """,
}


def text(indented: str) -> str:
    return "\n".join(line.strip() for line in indented.strip().splitlines())


@pytest.mark.parametrize("case", SILENT)
def test_nothing_is_said_of(case: str) -> None:
    assert said(text(SILENT[case]), SHARED, MALFORMED, UNKNOWN) == []


def test_a_setting_that_is_shadowed_is_no_use() -> None:
    config = "[fan bay]\ndrive = PA8\n[fan lid]\ndrive = PA8\n[fan bay]\ndrive = PA9\n"
    assert said(config, SHARED) == []


def test_the_later_of_two_is_named_and_the_earlier_is_related() -> None:
    config = (
        "[heater bed]\ndrive = PB10\nthermometer = PC2\nlowest = 5\nhighest = 110\n[fan lid]\ndrive = PB10\n"
    )
    (found,) = findings(config, SHARED)
    assert (found.where.line, [place.line for place in found.related]) == (7, [2])
    assert found.message == "heater bed and fan lid both drive PB10"


def test_three_users_of_a_pin_are_two_findings() -> None:
    config = "[fan a1]\ndrive = PB10\n[fan a2]\ndrive = PB10\n[light case]\npin = PB10\n"
    assert [one.line for one in said(config, SHARED)] == [4, 6]


def test_marks_and_spelling_make_no_other_pin() -> None:
    assert [
        one.line for one in said("[fan bay]\ndrive = !PB_10\n[light case]\npin = pb10 inverted\n", SHARED)
    ] == [4]


def test_the_word_for_the_board_of_a_bare_pin_makes_no_other_pin() -> None:
    config = "[board main]\nchip = RP2040\n[fan bay]\ndrive = gpio4\n[light case]\npin = main.gpio4\n"
    assert [one.line for one in said(config, SHARED)] == [6]


@pytest.mark.parametrize(
    ("known", "unknown", "severity"),
    [
        ("[fan bay]\ndrive", "frobs = PB10", ["error"]),
        ("[fan bay]\ndrive", "frobs = PB9, PB10, PB11", ["warning"]),
        ("[wibble]\nfrobs", "frobs = PB10", ["warning"]),
        ("[endstop x]\npin", "frobs = PB10", []),
    ],
)
def test_a_user_that_nobody_understands(known: str, unknown: str, severity: list[str]) -> None:
    config = f"{known} = PB10\n[wobble]\n{unknown}\n"
    assert [one.severity for one in said(config, SHARED) if one.line == 4] == severity


@pytest.mark.parametrize(
    ("first", "second", "found"),
    [
        ("wobbles = near", "wobbles = far", False),
        ("wobbles = FAR", "", False),
        ("wobbles = near", "wobbles = near", True),
        ("wobbles = yes", "wobbles = no", True),
        ("wobbles = lamp", "wobbles = near", False),
        ("wobbles = lamp", "wobbles = vent", True),
    ],
)
def test_two_sections_may_be_on_boards_that_nobody_understands(first: str, second: str, found: bool) -> None:
    boards = "[gizmo near]\nglub = 7\n[gizmo.far]\nglub = 8\n[fan vent]\npin = PA1\n[light lamp]\npin = PA2\n"
    config = (
        f"{boards}[fan bay]\npin = PB10\n{first}\n[heater bed]\ndrive = PB10\nthermometer = PC0\n{second}\n"
    )
    assert bool(said(config, SHARED)) is found


def test_motors_of_one_axis_on_one_line_are_a_warning() -> None:
    config = (
        "[motor z left]\nstep = PE2\ndirection = PE3\nenable = PE4\n"
        "[motor z right]\nstep = PE2\ndirection = PE3\nenable = PE4\n"
    )
    assert [(one.severity, one.line) for one in said(config, SHARED)] == [("warning", 6), ("warning", 7)]


@pytest.mark.parametrize(
    ("written", "meant"),
    [("PB1O", "PB10"), ("PBl2", "PB12"), ("gpiol4", "gpio14"), ("bed-plugg", "bed-plug"), ("PB100", "PB10")],
)
def test_what_a_mistyped_pin_was_to_be(written: str, meant: str) -> None:
    (found,) = findings(f"[aliases]\nbed-plug = PD12\n[fan bay]\ndrive = {written}\n", MALFORMED)
    assert (found.where.line, meant in found.advice) == (4, True)


@pytest.mark.parametrize("written", ["onboard7", "bed-plug2", "X-MIN", "none", "<5V>", "GPIOB10", "socket"])
def test_names_that_a_firmware_may_know(written: str) -> None:
    assert said(f"[aliases]\nbed-plug = PD12\n[fan bay]\ndrive = {written}\n", MALFORMED, UNKNOWN) == []


@pytest.mark.parametrize(
    "written", ["expander:5", "PA1 @ 25 kHz", "PA1/PA2", "head.fan", "lamp.3", "A.5", "${board}.PA1"]
)
def test_what_stands_before_a_separator_may_be_something_else(written: str) -> None:
    config = f"[board main]\nchip = RP2040\n[lamp case]\npin = PA4\n[fan bay]\ndrive = {written}\n"
    assert said(config, UNKNOWN) == []


def test_a_board_without_a_name_may_have_one_in_the_firmware() -> None:
    config = "[board]\nchip = RP2040\n[fan bay]\ndrive = host:PA1\n[fan lid]\ndrive = host:PA2\n"
    assert said(config, UNKNOWN) == []
    found = said(config + "[light case]\npin = PA3\n", UNKNOWN)
    assert [(one.severity, one.line) for one in found] == [("note", 4)]


def test_the_nearest_board_is_named() -> None:
    config = "[board main]\nchip = RP2040\n[board gantry]\nchip = RP2040\n[fan bay]\ndrive = gnatry.gpio3\n"
    (found,) = findings(config, UNKNOWN)
    assert "gantry" in found.advice


@pytest.mark.parametrize(
    ("value", "found"),
    [("250 ms", True), ("/dev/ttyS1", False), ("./maps/front.txt", False), ("file://pin", False)],
)
def test_a_path_in_a_pins_place_is_a_word_misread(value: str, found: bool) -> None:
    assert bool(said(f"[filament watch]\nswitch pin = {value}\n", MALFORMED)) is found


BOARDS = "[board main]\nchip = RP2040\n[board gantry]\nchip = RP2040\n"


@pytest.mark.parametrize(
    ("prefixes", "expected"),
    [
        (["gnatry"], ["error"]),
        (["gantr"], ["error"]),
        (["boardGantri"], ["error"]),
        (["Gantrey", "gantrey"], ["error", "error"]),
        (["gnatry", "gnatry", "gnatry"], ["note"]),
        (["annex"], ["note"]),
        (["annex", "annex", "annex"], ["note"]),
        (["gantry2"], ["note"]),
        (["GANTRY", "board-gantry", "main"], []),
    ],
)
def test_only_a_slip_in_the_name_of_a_board_is_an_error(prefixes: list[str], expected: list[str]) -> None:
    fans = "[light gantry]\npin = PA1\n" + "".join(
        f"[fan number {at}]\npin = {board}.gpio{at}\n" for at, board in enumerate(prefixes, start=2)
    )
    assert [one.severity for one in said(BOARDS + fans, UNKNOWN)] == expected


@pytest.mark.parametrize("header", ["wobble gnatry", "gnatryWobble", "wobble.gnatry", "the-gnatry"])
def test_a_section_that_nobody_understands_may_be_the_board(header: str) -> None:
    config = f"{BOARDS}[{header}]\nglub = 7\n[fan bay]\npin = gnatry.gpio3\n"
    assert said(config, UNKNOWN) == []
