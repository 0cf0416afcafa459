"""Bit rates of classical CAN: ISO 11898 ends at 1 Mbit/s.

The rates in use below are those that CiA 301 recommends (from memory).
"""

from __future__ import annotations

import pytest

from cfgaudit.checks.cards import load_cards
from tests.checks.finding_lines import said

RULE = "bitrate-beyond-standard"
ISO_11898_HIGHEST = 1_000_000
CIA_301 = (10_000, 20_000, 50_000, 125_000, 250_000, 500_000, 800_000, 1_000_000)


def node(rate: str) -> str:
    return f"[board arm]\nlink = can0\nid = 0x21\nbit rate = {rate}\n"


def test_the_card_has_the_standards_limit() -> None:
    assert load_cards()[RULE].limits["highest"].value == ISO_11898_HIGHEST


@pytest.mark.parametrize("rate", CIA_301)
@pytest.mark.parametrize("spelling", ["{}", "{} bit/s"])
def test_rates_in_use_are_allowed(rate: int, spelling: str) -> None:
    assert said(node(spelling.format(rate)), RULE) == []


@pytest.mark.parametrize("rate", ["1000001", "2 Mbit/s", "5000000", "1200 kbit/s", "8 Mbit/s"])
def test_higher_rates_are_not(rate: str) -> None:
    assert [one.line for one in said(node(rate), RULE)] == [4]
