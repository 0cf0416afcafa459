"""Reserved I²C addresses against NXP UM10204, "I²C-bus specification and user manual", §3.1.12.

Its table gives them as patterns of the seven address bits (their uses from memory): 0000 000 (general call
and START byte), 0000 001 (CBUS), 0000 010 (another bus format), 0000 011 (for later), 0000 1XX (high-speed
masters), 1111 1XX (device identification), 1111 0XX (ten-bit addressing).
"""

from __future__ import annotations

from itertools import product

import pytest

from cfgaudit.checks.cards import load_cards
from tests.checks.finding_lines import said

PATTERNS = ("0000000", "0000001", "0000010", "0000011", "00001XX", "11111XX", "11110XX")


def numbers(pattern: str) -> set[int]:
    """Every number that a pattern of bits stands for."""
    bits = (("0", "1") if bit == "X" else (bit,) for bit in pattern)
    return {int("".join(digits), 2) for digits in product(*bits)}


RESERVED = set().union(*map(numbers, PATTERNS))


def test_the_patterns_are_two_blocks_of_eight() -> None:
    """0x00 to 0x07 and 0x78 to 0x7F."""
    assert {*range(0x08), *range(0x78, 0x80)} == RESERVED


def test_the_card_lists_what_the_manual_reserves() -> None:
    assert set(load_cards()["address-reserved"].limits["reserved"].value) == RESERVED


@pytest.mark.parametrize("spelling", ["0x{:02x}", "0x{:02X}", "{}"])
def test_every_address_of_seven_bits(spelling: str) -> None:
    sections = [
        f"[sensor s{number}]\nbus = i2c1\naddress = {spelling.format(number)}\n" for number in range(128)
    ]
    lines = [one.line for one in said("".join(sections), "address-reserved")]
    assert lines == [3 * number + 3 for number in sorted(RESERVED)]
