"""Whether a board hangs on the USB of its own chip: names as Linux gives them to what it finds there."""

from __future__ import annotations

import pytest

from cfgaudit.audit import audit_text
from cfgaudit.machine.model import Part
from cfgaudit.machine.usb_link import on_own_usb


@pytest.mark.parametrize(
    "link",
    [
        "/dev/serial/by-id/usb-Workbench_stm32f407xx_2031-if00",
        '"/dev/serial/by-id/usb-Werkhof_main-407_2031-if00"',
        "/dev/ttyACM0",
    ],
)
def test_over_its_own_usb(link: str) -> None:
    assert on_own_usb(board(link))


@pytest.mark.parametrize(
    "link",
    [
        "/dev/serial/by-id/usb-1a86_USB_Serial-if00-port0",
        "/dev/serial/by-id/usb-FTDI_FT232R_USB_UART_A1-if00-port0",
        "/dev/serial/by-id/usb-Silicon_Labs_CP2102_USB_to_UART_Bridge_Controller_0001-if00-port0",
        "/dev/ttyUSB0",
        "/dev/ttyAMA0",
        "/dev/serial0",
        "can0",
        "usb",
    ],
)
def test_by_another_way_or_nobody_knows(link: str) -> None:
    assert not on_own_usb(board(link))


def test_no_board() -> None:
    assert not on_own_usb(None)


def board(link: str) -> Part:
    return next(audit_text({"main.ini": f"[board main]\nlink = {link}\n"}).machine.kind("board"))
