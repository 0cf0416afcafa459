"""Pins. Notations as in chip makers' data sheets, from memory: port letter and number (ST, Microchip,
Nuvoton), port and number (NXP, Nordic), a running number (RP2040, ESP32), PTA to PTE (NXP Kinetis)."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cfgaudit.syntax.pin import Pin
from cfgaudit.syntax.read_pin import is_absent, is_chip_pin, is_rail, read_pin
from cfgaudit.tree.names import fold_name


def read(text: str) -> Pin:
    pin = read_pin(text)
    assert pin is not None, text
    return pin


@pytest.mark.parametrize(
    ("spellings", "key"),
    [
        (("PA3", "pa3", "PA_3", "PA03", "PA.3"), "PA3"),
        (("PB12", "PB_12", "pb12"), "PB12"),
        (("P1.20", "P1_20", "p1.20"), "P1_20"),
        (("P0_3", "P0.03", "P0.3"), "P0_3"),
        (("gpio14", "GPIO14", "GPIO_14", "Gpio14", "GPIO 14", "IO14", "GP14"), "GPIO14"),
        (("PTA4", "pta4"), "PTA4"),
        (("RA3",), "RA3"),
        (("A0",), "A0"),
        (("AD0",), "AD0"),
        (("D7",), "D7"),
        (("14", "014"), "14"),
    ],
)
def test_every_spelling_of_a_pin_has_one_key(spellings: tuple[str, ...], key: str) -> None:
    for spelling in spellings:
        assert read(spelling) == Pin(None, spelling, key, True)


@pytest.mark.parametrize(
    ("text", "board", "name"),
    [
        ("main.PA3", "main", "PA3"),
        ("main:PA3", "main", "PA3"),
        ("main/PA3", "main", "PA3"),
        ("main : PA3", "main", "PA3"),
        ("PA3@main", "main", "PA3"),
        ("PA3 @ main", "main", "PA3"),
        ("tool-head.PA3", "tool-head", "PA3"),
        ("tool head.PA3", "tool head", "PA3"),
        ("1:PA3", "1", "PA3"),
        ("main.P1.20", "main", "P1.20"),
        ("P1.20@main", "main", "P1.20"),
        ("P1.20", None, "P1.20"),
        ("main.14", "main", "14"),
        ("main.gpio14", "main", "gpio14"),
        ("Hauptplatine.PA3", "Hauptplatine", "PA3"),
    ],
)
def test_boards(text: str, board: str | None, name: str) -> None:
    pin = read(text)
    assert (pin.board, pin.name, pin.on_chip) == (board, name, True)


@pytest.mark.parametrize(
    ("text", "marks", "words"),
    [
        ("!PA3", "!", ()),
        ("^!PA3", "^!", ()),
        ("! main.PA3", "!", ()),
        ("~main:PA3", "~", ()),
        ("main:!PA3", "!", ()),
        ("-PA3", "-", ()),
        ("PA3 inverted", "", ("inverted",)),
        ("PA3, inverted, pull-up", "", ("inverted", "pull-up")),
        ("PA3 (active-low, pull-down)", "", ("active-low", "pull-down")),
        ("main.PA3 [open drain]", "", ("open drain",)),
        ("inverted PA3", "", ("inverted",)),
        ("inverted main.PA3", "", ("inverted",)),
        ("PA3 @ main inverted", "", ("inverted",)),
        ("!PA3 pull-up", "!", ("pull-up",)),
        ("PA3 pull-up 4.7k", "", ("pull-up", "4.7k")),
    ],
)
def test_marks_and_words(text: str, marks: str, words: tuple[str, ...]) -> None:
    pin = read(text)
    assert (pin.key, pin.marks, pin.words) == ("PA3", marks, words)


@pytest.mark.parametrize(
    ("text", "board", "name"),
    [
        ("nozzle-heat", None, "nozzle-heat"),
        ("nozzle heat", None, "nozzle heat"),
        ("main:nozzle_heat", "main", "nozzle_heat"),
        ("probe.touch", "probe", "touch"),
        ("driver x.stall", "driver x", "stall"),
        ("main.io.fan", "main", "io.fan"),
        ("Düse", None, "Düse"),
        ("hood fan 2", None, "hood fan 2"),
    ],
)
def test_aliases_and_virtual_pins(text: str, board: str | None, name: str) -> None:
    pin = read(text)
    assert (pin.board, pin.name, pin.on_chip) == (board, name, False)
    assert pin.key == fold_name(name)


def test_words_after_an_alias_are_no_part_of_its_name() -> None:
    assert read("nozzle heat inverted, pull-up") == Pin(
        None, "nozzle heat", "nozzleheat", False, "", ("inverted", "pull-up")
    )


def test_quotes_around_a_pin_say_nothing() -> None:
    assert read('"main.PA3"') == read("'main.PA3'") == read("main.PA3")


@pytest.mark.parametrize(
    "text",
    [
        *(
            "",
            "-5",
            "+5",
            "0.5",
            "10, 20",
            "5 mm",
            "1:3",
            "3/1",
            "1.20",
            "{pin}",
            "<pin>",
            "inverted",
            "!",
            ".",
        ),
        *(
            "main.",
            ".PA3",
            "main.PA3@tool",
            "12345",
            "NTC 100k B3950",
            "words that go on and on",
            "PA3\nPA4 x\n{",
        ),
    ],
)
def test_what_can_be_no_pin(text: str) -> None:
    assert read_pin(text) is None
    assert not is_chip_pin(text)


@pytest.mark.parametrize(
    "text",
    [
        *(
            "PA3",
            "PB_12",
            "PL7",
            "P1.20",
            "P0_3",
            "gpio14",
            "GPIO14",
            "IO5",
            "main.PA3",
            "main:pa3",
            "!pa3",
            "^PA3",
        ),
        *("PA3 inverted", "PA3, pull-up", "PA3@main", "main.A0", "!D7", "main.PA6", "A0@main"),
    ],
)
def test_text_that_can_only_be_a_chips_pin(text: str) -> None:
    assert is_chip_pin(text)
    assert read(text).on_chip


@pytest.mark.parametrize(
    "text",
    [
        *(
            "14",
            "!14",
            "main.14",
            "A0",
            "D7",
            "AD0",
            "A4",
            "GP5",
            "pc1",
            "p1_2",
            "RA3",
            "PT1",
            "M8",
            "Z1",
            "E0",
        ),
        *(
            "PA6",
            "PA11",
            "PA12",
            "PLA",
            "PETG",
            "PEEK",
            "PT1000",
            "PA123",
            "nozzle-heat",
            "main.nozzle",
            "v1.2",
        ),
        *(
            "PA3 and PA4",
            "PC2 pull-up 4.7k",
            "24 V",
            "G28",
            "M104 S200",
            "bed v2.D3",
            "yes",
            "0x20",
            "10.0.0.1",
        ),
    ],
)
def test_text_that_may_be_something_else(text: str) -> None:
    """Polyamides (ISO 16396), platinum sensors, threads, addresses, G-code; bare numbers and short names."""
    assert not is_chip_pin(text)


def test_rails() -> None:
    for text in (
        "<GND>",
        "<5V>",
        "<3V3>",
        "<3.3V>",
        "GND",
        "VCC",
        "VDD",
        "<NC>",
        "<RST>",
        "24V",
        "<gnd>",
        "+5V",
    ):
        assert is_rail(text), text
        assert read_pin(text) is None
    for text in ("<pin>", "<CHANGE>", "PA3", "ground-fan", "V", "5", ""):
        assert not is_rail(text), text


def test_nothing_connected() -> None:
    for text in ("none", "None", "unused", "not connected", "n/a", "-", "-1", "off"):
        assert is_absent(text), text
        assert read_pin(text) is None
    for text in ("nozzle", "-2", "PA3", "not", ""):
        assert not is_absent(text), text


PORTS = st.builds(
    lambda letter, number: (f"P{letter}", number), st.sampled_from("ABCDEFGHI"), st.integers(0, 31)
)
BOARDS = st.from_regex(r"[a-z][a-z]{2,7}", fullmatch=True).filter(
    lambda one: one not in ("not", "pwm", "input")
)


@given(PORTS, st.sampled_from(["", "_"]), st.booleans(), BOARDS, st.sampled_from([".", ":", "/", " : "]))
def test_board_separator_and_case_change_no_key(
    port: tuple[str, int], middle: str, small: bool, board: str, separator: str
) -> None:
    letters, number = port
    name = f"{letters}{middle}{number}"
    name = name.lower() if small else name
    before, after = read(f"{board}{separator}{name}"), read(f"{name} @ {board}")
    assert before.key == after.key == f"{letters}{number}"
    assert before.board == after.board == board


PIECES = st.sampled_from(
    [
        *"PpAaDd0123456789._:/@!^~-<>{}()[],\"' \n\t",
        "gpio",
        "main",
        "inverted",
        "pull-up",
        "GND",
        "²",
        "K",
        "é",
        "٣",
    ]
)


@given(st.one_of(st.text(max_size=40), st.lists(PIECES, max_size=12).map("".join)))
def test_any_text_is_read(text: str) -> None:
    pin = read_pin(text)
    assert pin is None or (pin.name and pin.key and pin.name in text)
    assert not is_chip_pin(text) or (pin is not None and pin.on_chip)
    assert (pin is not None) + is_rail(text) + is_absent(text) <= 1
