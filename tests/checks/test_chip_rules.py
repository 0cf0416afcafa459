"""Rules about chips: what must be found beyond the cards' examples, and what must raise no alarm.

What the chips can do is from memory of the data sheets of STM32F407, STM32F103, RP2040, ATmega2560, nRF52840.
"""

from __future__ import annotations

import pytest
from chip_library import LIBRARY, needs_tables
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.audit import audit_text
from cfgaudit.checks.finding import Finding
from cfgaudit.checks.run import raise_fault
from cfgaudit.machine.chips.chip import pin_key
from cfgaudit.machine.free_pins import free_pins

pytestmark = needs_tables

RULES = (
    *("pin-not-on-chip", "pin-not-bonded", "pin-not-analog", "pin-debug-or-usb"),
    *("pin-timer-clash", "bus-pins-mismatch", "bus-speed-beyond-chip"),
)
BOARD = "[board main]\nchip = {}\n"
F407, RP2040 = BOARD.format("STM32F407VGT6"), BOARD.format("RP2040")


def findings(text: str, project: str | None = None) -> list[Finding]:
    found = audit_text({"main.ini": text}, project, library=LIBRARY, on_fault=raise_fault).findings.findings
    return [one for one in found if one.rule in RULES]


def said(text: str, project: str | None = None) -> list[tuple[str, str, int]]:
    return [(one.rule, str(one.severity), one.where.line) for one in findings(text, project)]


SILENT = {
    "numbers of the board's own print": F407
    + "[fan bay]\ndrive = D9\n[fan lid]\ndrive = main.A4\n[fan x]\ndrive = 17\n",
    "a firmware that counts pins in its own way": F407
    + "[fan bay]\ndrive = gpio14\n[fan lid]\ndrive = gpio70\n",
    "a board whose chip nobody names": "[board main]\nlink = can0\n[fan bay]\ndrive = main.PB99\n",
    "another board's pin": F407 + "[board arm]\nlink = can0\n[fan bay]\ndrive = arm.PF3\n",
    "another part's pin": F407 + "[probe touch]\npin = PC13\n[endstop z]\nswitch = touch.release\n",
    "a pin that some packages of the family have": BOARD.format("STM32F407xx") + "[fan bay]\ndrive = PF3\n",
    "a one-wire sensor with its pull-up": F407
    + "[sensor bay]\npin = PD4\nkind = DS18B20\npull-up = 4.7k\nlowest = 0\nhighest = 80\n",
    "a thermistor behind a converter of its own": F407
    + "[sensor bay]\nkind = NTC 100k\nselect = PD4\nsensor pin = PD4\n",
    "a sensor of which nobody says what it is": F407 + "[sensor bay]\npin = PD4\nlowest = 0\nhighest = 80\n",
    "a chip of which the table knows no converter": BOARD.format("nRF52832")
    + "[sensor bay]\nthermistor pin = P0.20\nkind = NTC 100k\n",
    "a board's own section that names its USB lines": F407
    + "link = /dev/serial/by-id/usb-Workbench_1-if00\nusb pins = PA11, PA12\n",
    "JTAG alone, which is left when the serial debug port stays": F407 + "[fan bay]\ndrive = PA15\n",
    "the second USB port of the chip": F407
    + "link = /dev/serial/by-id/usb-Workbench_1-if00\n[fan bay]\ndrive = PB14\n",
    "USB lines of a board on a serial port": F407 + "link = /dev/ttyAMA0\n[fan bay]\ndrive = PA11\n",
    "slow pulses, which a firmware makes itself": F407
    + "[heater bed]\ndrive = PC8\npwm frequency = 10 Hz\n[fan bay]\ndrive = PC9\npwm frequency = 25 kHz\n",
    "frequencies that are not stated": F407
    + "[fan bay]\ndrive = PE5\n[fan lid]\ndrive = PE6\npwm frequency = 25 kHz\n",
    "one frequency on one timer": F407
    + "[fan bay]\ndrive = PE5\npwm frequency = 25 kHz\n[fan lid]\ndrive = PE6\npwm frequency = 25 kHz\n",
    "a second timer that reaches one of the pins": F407
    + "[fan bay]\ndrive = PC8\npwm frequency = 25 kHz\n[fan lid]\ndrive = PC9\npwm frequency = 20 kHz\n",
    "timers of two boards": RP2040.replace("main", "a")
    + RP2040.replace("main", "b")
    + "[fan x]\ndrive = a.gpio14\npwm frequency = 25 kHz\n"
    + "[fan y]\ndrive = b.gpio15\npwm frequency = 20 kHz\n",
    "a chain of lamps": F407 + "[light case]\nclock = PA5\ndata = PB15\n",
    "a knob": F407 + "[knob]\nclock = PA5\ndata = PB14\n",
    "a display that is written to only": F407
    + "[display panel]\nselect = PA4\nclock = PA5\ndata out = PA7\n",
    "lines that the firmware moves": F407
    + "[display panel]\nselect = PA4\nsoftware clock = PA5\ndata out = PB15\nbus speed = 2 MHz\n",
    "data named from the other side": F407
    + "[accelerometer arm]\nselect = PA4\nclock = PA5\ndata out = PA6\ndata in = PA7\n",
    "I²C on its second pair of pins": F407 + "[sensor room]\nbus address = 0x44\nclock = PB8\ndata = PB9\n",
    "any pin of a chip with a matrix": BOARD.format("nRF52840")
    + "[accelerometer arm]\nselect = P0.03\nclock = P0.04\ndata in = P0.05\nbus speed = 4 MHz\n",
    "a chip of which no limit is known": "[accelerometer a]\nmodel = QX12\nselect = PA4\nbus speed = 9 MHz\n",
    "a chip at its limit": "[accelerometer arm]\nmodel = ADXL345\nselect = PA4\nbus speed = 5 MHz\n",
    "a bus whose kind is not told": "[accelerometer arm]\nmodel = ADXL345\nbus speed = 4 MHz\n",
}


@pytest.mark.parametrize("case", SILENT)
def test_nothing_is_said_of(case: str) -> None:
    assert said(SILENT[case]) == []


@pytest.mark.parametrize(
    ("chip", "pin", "rule"),
    [
        ("STM32F407VGT6", "PK2", "pin-not-on-chip"),
        ("STM32F407VGT6", "PB16", "pin-not-on-chip"),
        ("STM32F407VGT6", "PI3", "pin-not-bonded"),
        ("STM32F407", "PJ1", "pin-not-on-chip"),
        ("STM32F103C8T6", "PC6", "pin-not-bonded"),
        ("STM32F103C8T6", "PG1", "pin-not-on-chip"),
        ("ATmega2560", "PI1", "pin-not-on-chip"),  # the alphabet of its ports leaves I out
        ("RP2040", "gpio30", "pin-not-on-chip"),
        ("nRF52840", "P1.16", "pin-not-on-chip"),
    ],
)
def test_pins_that_are_not_there(chip: str, pin: str, rule: str) -> None:
    assert said(BOARD.format(chip) + f"[fan bay]\ndrive = {pin}\n") == [(rule, "error", 4)]


def test_the_message_names_the_chip_and_where_the_port_ends() -> None:
    (found,) = findings(F407 + "[fan bay]\ndrive = main.PB16\n")
    said_of_the_chip = "the STM32F407VGT6 of board main has no such pin (the last one is PB15)"
    assert found.message == f"fan bay: drive is main.PB16, but {said_of_the_chip}"


def test_another_makers_spelling_among_pins_of_the_chip() -> None:
    assert said(F407 + "[fan bay]\ndrive = PB1\n[fan lid]\ndrive = gpio14\n") == [
        ("pin-not-on-chip", "error", 6)
    ]


def test_an_alias_is_found_where_it_is_defined_and_once() -> None:
    text = F407 + "[aliases]\nplug = PF3\n[fan bay]\ndrive = plug\n[light lid]\ndrive = plug\n"
    (found,) = findings(text)
    assert (found.rule, found.where.line, [place.line for place in found.related]) == (
        "pin-not-bonded",
        4,
        [6],
    )


def test_a_word_in_an_unknown_section_may_be_no_pin() -> None:
    assert said(F407 + "[wibble]\nfrobs = PB16\n") == [("pin-not-on-chip", "warning", 4)]


def test_a_thermistor_is_led_to_pins_that_nothing_uses() -> None:
    text = F407 + "[sensor bay]\nthermometer = PD4, NTC 100k B3950\n[fan bay]\ndrive = PA0\n"
    (found,) = findings(text)
    assert (found.rule, str(found.severity)) == ("pin-not-analog", "error")
    assert (
        found.advice
        == "Use a pin that can be read as a voltage; nothing uses PA1, PA2, PA3, PA4, PA5, PA6 … yet."
    )


@pytest.mark.parametrize("pin", ["PA11", "PA12"])
def test_both_lines_of_usb(pin: str) -> None:
    text = F407 + f"link = /dev/serial/by-id/usb-Workbench_1-if00\n[fan bay]\ndrive = {pin}\n"
    assert said(text) == [("pin-debug-or-usb", "warning", 5)]


@pytest.mark.parametrize("pin", ["PA13", "PA14"])
def test_both_lines_of_the_debug_port_are_a_note(pin: str) -> None:
    assert said(F407 + f"[fan bay]\ndrive = {pin}\n") == [("pin-debug-or-usb", "note", 4)]


def test_a_setting_may_say_that_slow_pulses_are_the_chips() -> None:
    text = (
        F407 + "[fan bay]\ndrive = PE5\npwm frequency = 25 kHz\n"
        "[heater bed]\ndrive = PE6\npwm frequency = 50 Hz\nhardware pwm = {}\n"
    )
    assert said(text.format("yes")) == [("pin-timer-clash", "warning", 7)]
    assert said(text.format("no")) == []


def test_two_pins_that_are_one_channel() -> None:
    """GPIO n and n + 16 of the RP2040 are the same output of the same slice."""
    fan = "[fan {}]\ndrive = gpio{}\npwm frequency = 25 kHz\n"
    (found,) = findings(RP2040 + fan.format("bay", 2) + fan.format("lid", 18))
    assert (
        found.message
        == "fan bay on gpio2 and fan lid on gpio18 are one channel, PWM1 A, and get the same pulses"
    )
    assert said(RP2040 + fan.format("bay", 2) + fan.format("lid", 3)) == []


def test_complementary_outputs_are_one_channel() -> None:
    """PB14 and PB15 are channels 1 and 2 of timer 12, but also the inverted 2 and 3 of timers 1 and 8."""
    fan = "[fan {}]\ndrive = {}\npwm frequency = 25 kHz\n"
    assert said(F407 + fan.format("bay", "PE8") + fan.format("lid", "PE9")) == [
        ("pin-timer-clash", "warning", 7)
    ]
    assert said(F407 + fan.format("bay", "PB14") + fan.format("lid", "PB15")) == []


def test_more_frequencies_than_timers() -> None:
    fan = "[fan {}]\ndrive = {}\npwm frequency = {} kHz\n"
    two = F407 + fan.format("a1", "PC6", 21) + fan.format("a2", "PC7", 22)
    assert said(two) == []  # timers 3 and 8 reach both
    assert said(two + fan.format("a3", "PC8", 23)) == [("pin-timer-clash", "warning", 10)]
    assert said(two + fan.format("a3", "PC8", 22)) == []


@pytest.mark.parametrize(
    "bus",
    [
        "select = PA4\nclock = PA5\ndata in = PB14\ndata out = PA7\n",  # of SPI1 and SPI2
        "select = PA4\nclock = PB13\ndata in = PA6\ndata out = PA7\n",
        "select = PD1\nclock = PD2\ndata in = PD3\ndata out = PD4\nbus speed = 4 MHz\n",  # of none
    ],
)
def test_lines_of_no_common_bus(bus: str) -> None:
    assert said(F407 + f"[accelerometer arm]\n{bus}") == [("bus-pins-mismatch", "warning", 5)]


def test_clock_and_data_of_two_i2c_buses() -> None:
    text = F407 + "[sensor room]\nbus address = 0x44\nclock = PB10\ndata = PB7\n"
    assert said(text) == [("bus-pins-mismatch", "warning", 5)]


def test_a_limit_of_the_users_own() -> None:
    text = "[accelerometer arm]\nmodel = ADXL345\nselect = PA4\nbus speed = 4 MHz\n"
    project = '[limits]\n"bus-speed-beyond-chip.SPI-ADXL345" = 2000000\n'
    assert said(text, project) == [("bus-speed-beyond-chip", "warning", 4)]


def test_a_chip_outside_the_table_is_said_by_each_rule_that_needs_it() -> None:
    text = "[board main]\nchip = LPC1768\n[fan bay]\ndrive = P9.99\n"
    found = audit_text({"main.ini": text}, library=LIBRARY, on_fault=raise_fault).findings
    reasons = {one.rule: one.reason for one in found.skipped if "LPC1768" in one.reason}
    assert set(reasons) == set(RULES) - {"bus-speed-beyond-chip"}
    assert set(reasons.values()) == {"board main: the table of chips has no LPC1768"}


CHIPS = st.sampled_from(
    [
        "STM32F407VGT6",
        "stm32f103xe",
        "RP2040",
        "ATmega2560",
        "nRF52840",
        "LPC1768",
        "STM32F407",
        "${chip}",
        "x",
    ]
)
PINS = st.one_of(
    st.builds("P{}{}".format, st.sampled_from("ABCDEFK"), st.integers(0, 40)),
    st.builds("{}gpio{}".format, st.sampled_from(["", "!", "main.", "arm:"]), st.integers(0, 40)),
    st.sampled_from(["P1.9", "D7", "A0", "none", "plug", "PA", "main.", "<GND>", "PA1, PA2", "7"]),
)
SETTINGS = st.sampled_from(
    ["drive", "clock", "data in", "data out", "select", "thermometer", "thermistor pin", "uart", "usb pins"]
)
SECTIONS = st.sampled_from(
    [
        "fan bay",
        "sensor bed",
        "heater tip",
        "display front",
        "accelerometer arm",
        "light lid",
        "aliases",
        "wibble",
    ]
)
RATES = st.sampled_from(["", "pwm frequency = 25 kHz\n", "pwm frequency = 1.5 kHz\n", "bus speed = 8 MHz\n"])
PARTS = st.builds(
    lambda section, settings, rate: (
        f"[{section}]\n{rate}" + "".join(f"{key} = {pin}\n" for key, pin in settings)
    ),
    SECTIONS,
    st.lists(st.tuples(SETTINGS, PINS), max_size=4),
    RATES,
)
LINKS = st.sampled_from(["", "link = /dev/serial/by-id/usb-Workbench_rp2040_1-if00\n", "link = can0\n"])
BOARDS = st.builds("[board {}]\nchip = {}\n{}".format, st.sampled_from(["main", "arm", ""]), CHIPS, LINKS)


@settings(max_examples=60, deadline=None)
@given(st.lists(BOARDS, max_size=2), st.lists(PARTS, max_size=8))
def test_any_machine_is_checked_without_a_fault(boards: list[str], parts: list[str]) -> None:
    found = audit_text({"main.ini": "".join(boards + parts)}, library=LIBRARY, on_fault=raise_fault)
    for left in free_pins(found.machine):
        used = found.machine.pins.get(left.board.board, {})
        assert not used.keys() & {pin_key(pin.name) for pin in left.pins}
