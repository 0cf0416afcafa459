"""Part numbers: where they stand in texts, and which parts of a table they mean."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cfgaudit.machine.chips.part_numbers import (
    fold_part,
    is_part_number,
    members,
    part_numbers,
    shown_part,
)

TABLE = (
    *("stm32f103c8t6", "stm32f103cbt6", "stm32f103ret6", "stm32f103zet6", "stm32f1034c8t6"),
    *("stm32h755xih6@m4", "stm32h755xih6@m7"),
    *("atmega16-16au", "atmega164p-au", "atmega16u4-au", "atmega328-au", "atmega328p-au", "atmega328p-mu"),
    *("samd21g18a-au", "samd21g18a-mu", "samd21j18a-au", "nrf52840-qiaa", "rp2040"),
)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("STM32F407VGT6", ["STM32F407VGT6"]),
        ("STM32F407VGT6, 168 MHz", ["STM32F407VGT6"]),
        ("an rp2040 on a small board", ["rp2040"]),
        ("/dev/serial/by-id/usb-Workbench_stm32g0b1xx_3400-if00", ["stm32g0b1xx"]),
        ("/dev/serial/by-id/usb-Somebody_lid_07-if00", []),
        ("ATmega2560", ["ATmega2560"]),
        ("ATSAMD21G18A", ["ATSAMD21G18A"]),
        ("SAM3X8E", ["SAM3X8E"]),
        ("LPC1768", ["LPC1768"]),
        ("nRF52840", ["nRF52840"]),
        ("home-made logic", []),
        ("the rap2040 and mystm32f103", []),
    ],
)
def test_part_numbers_in_texts(text: str, found: list[str]) -> None:
    assert list(part_numbers(text)) == found


@pytest.mark.parametrize(
    ("name", "meant"),
    [
        ("STM32F103C8T6", ["stm32f103c8t6"]),
        ("STM32F103C8T6TR", ["stm32f103c8t6"]),
        ("STM32F103C8", ["stm32f103c8t6"]),
        ("STM32F103C", ["stm32f103c8t6", "stm32f103cbt6"]),
        ("stm32f103xe", ["stm32f103ret6", "stm32f103zet6"]),
        ("STM32F103", ["stm32f103c8t6", "stm32f103cbt6", "stm32f103ret6", "stm32f103zet6"]),
        ("stm32f103xx", ["stm32f103c8t6", "stm32f103cbt6", "stm32f103ret6", "stm32f103zet6"]),
        ("STM32F10", []),
        ("STM32H755XIH6", ["stm32h755xih6@m4", "stm32h755xih6@m7"]),
        ("ATmega16", ["atmega16-16au"]),
        ("ATmega328", ["atmega328-au"]),
        ("atmega328p", ["atmega328p-au", "atmega328p-mu"]),
        ("ATmega328P-AU", ["atmega328p-au"]),
        ("ATSAMD21G18A", ["samd21g18a-au", "samd21g18a-mu"]),
        ("SAMD21", ["samd21g18a-au", "samd21g18a-mu", "samd21j18a-au"]),
        ("nRF52840", ["nrf52840-qiaa"]),
        ("RP2040", ["rp2040"]),
        ("RP20", []),
        ("LPC1768", []),
    ],
)
def test_the_parts_that_a_name_means(name: str, meant: list[str]) -> None:
    assert list(members(fold_part(name), TABLE)) == meant


@pytest.mark.parametrize(
    "name", ["STM32", "stm32f", "SAM", "SAMD", "nrf", "atmega", "avr", "", "x" * 200, "é"]
)
def test_names_that_are_no_part_number(name: str) -> None:
    assert not is_part_number(fold_part(name))


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("stm32f407vgt6", "STM32F407VGT6"),
        ("stm32f103xe", "STM32F103xE"),
        ("atmega2560", "ATmega2560"),
        ("nrf52840", "nRF52840"),
        ("samd21g18a", "SAMD21G18A"),
    ],
)
def test_names_are_shown_as_makers_print_them(name: str, shown: str) -> None:
    assert shown_part(name) == shown


@given(st.text(max_size=60))
def test_any_text_is_read(text: str) -> None:
    folded = fold_part(text)
    assert folded == fold_part(folded)
    assert all(found in text for found in part_numbers(text))
    assert set(members(folded, TABLE)) <= set(TABLE)
