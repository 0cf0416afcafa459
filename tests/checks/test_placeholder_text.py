"""Texts that somebody was meant to replace, and those that only look so. Common practice, no source."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cfgaudit.checks.placeholder_text import is_placeholder


@pytest.mark.parametrize(
    "text",
    [
        "CHANGE_ME",
        "changeme",
        "change-me",
        "Replace this",
        "FILL_ME_IN",
        "fill in",
        "set_me",
        "TODO",
        "to do",
        "FIXME",
        "TBD",
        "to be defined",
        "xxx",
        "XXXXXX",
        "???",
        "____",
        "...",
        "…",
        "placeholder",
        "<pin>",
        "< your pin >",
        "<board>",
        "<PIN>",
        "your_pin_here",
        "YOUR SERIAL HERE",
        "your-board-id",
        "insert the number here",
        "put_id_here",
        '"CHANGE_ME"',
        "/dev/serial/by-id/usb-xxxxxxxx-if00",
        "/dev/serial/by-id/<your board>",
        "toolhead-XXXX",
    ],
)
def test_a_placeholder(text: str) -> None:
    assert is_placeholder(text)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "x",
        "xx",
        "X",
        "PA1",
        "<GND>",
        "<5V>",
        "<24V>",
        "<3V3>",
        "<VCC>",
        "<Vin>",
        "<NC>",
        "<none>",
        "<3.3V>",
        "<RST>",
        "{pin}",
        "${pin}",
        "%(pin)s",
        "<% pin %>",
        "{{ todo }}",
        "todo list of the day",
        "change",
        "0 .. 420",
        "yourself",
        "my fan",
        "xxl",
        "exxxtra",
        "main.PA1",
        "..",
        "G28 X",
        "a <b> c",
        "200 <> 300",
        "to do this we use a macro\nG28",
    ],
)
def test_no_placeholder(text: str) -> None:
    assert not is_placeholder(text)


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_a_number_is_no_placeholder(number: float) -> None:
    assert not is_placeholder(str(number))


@given(st.text())
def test_any_text_is_judged(text: str) -> None:
    assert is_placeholder(text) in (True, False)
