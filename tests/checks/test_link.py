"""Links and buses: what must be found beyond the cards' examples, and what must raise no alarm."""

from __future__ import annotations

import pytest

from tests.checks.finding_lines import findings, said

LINK = (
    "link-shared",
    "link-unstable-path",
    "bitrate-mismatch",
    "bitrate-beyond-standard",
    "address-shared",
    "address-reserved",
)

SILENT = {
    "one board, one path": "[board main]\nlink = /dev/serial/by-id/usb-Workbench_main_1-if00\n",
    "a path of the owner's own making": "[board main]\nlink = /dev/board1\n",
    "a path by the socket": "[board main]\nlink = /dev/serial/by-path/pci-0000:00:14.0-usb-0:2:1.0\n",
    "a path of the owner's own making that speaks of USB": "[board main]\nlink = /dev/left-usb1\n",
    "a built-in port": "[board main]\nlink = /dev/ttyS0\n",
    "two boards of which one has words that nobody knows": (
        "[board low]\nlink = /dev/ttyS0\nfrob = 7\n[board high]\nlink = /dev/ttyS0\n"
    ),
    "two boards with addresses behind one adapter": (
        "[board low]\nlink = /dev/ttyS0\naddress = 1\n[board high]\nlink = /dev/ttyS0\naddress = 2\n"
    ),
    "two cables at two rates": (
        "[board low]\nlink = /dev/ttyS0\nbaud = 250000\n[board high]\nlink = /dev/ttyS1\nbaud = 115200\n"
    ),
    "a fast serial cable": "[board low]\nlink = /dev/ttyS0\nbaud = 2000000\n",
    "a board that can wait": "[board low]\nlink = /dev/ttyS0\nbaud = 2000000\ncan wait = yes\n",
    "one rate in two spellings": (
        "[board low]\nlink = can0\nid = 1\nbit rate = 1M\n"
        "[board high]\nlink = can0\nid = 2\nbit rate = 1000 kbit/s\n"
    ),
    "two buses": (
        "[board low]\nlink = can0\nid = 1\nbit rate = 500000\n"
        "[board high]\nlink = can1\nid = 1\nbit rate = 250000\n"
    ),
    "drivers without an address": "[driver x]\nuart = PD11\n[driver y]\nuart = PD11\n",
    "drivers on two boards": (
        "[board low]\nchip = RP2040\n[board high]\nchip = RP2040\n"
        "[driver x]\nuart = low.gpio1\naddress = 0\n[driver y]\nuart = high.gpio1\naddress = 0\n"
    ),
    "one section of axis, motor and driver": (
        "[motor x]\nstep = PE1\ndirection = PE2\ndriver model = TMC2209\nuart = PD11\naddress = 1\n"
    ),
    "sensors on two boards' buses of one name": (
        "[board low]\nchip = RP2040\n[board high]\nchip = RP2040\n"
        "[accelerometer a]\nboard = low\nbus = i2c1\naddress = 0x53\n"
        "[accelerometer b]\nboard = high\nbus = i2c1\naddress = 0x53\n"
    ),
    "what has a line of its own, whatever it is": (
        "[board x]\nchip = TMC2209\nuart = PD11\nnode address = 0\n"
        "[board y]\nchip = TMC2209\nuart = PD12\nnode address = 0\n"
    ),
    "what may have a line of its own, in a word that nobody knows": (
        "[board x]\nchip = TMC2209\nglub = PD11\nnode address = 0\n"
        "[board y]\nchip = TMC2209\nglub = PD12\nnode address = 0\n"
    ),
    "a node address of a driver is none of I²C": "[driver x]\nuart = PD11\naddress = 3\n",
    "an address on a bus that nobody names": "[display front]\nbus = spi1\naddress = 3\n",
}


@pytest.mark.parametrize("case", SILENT)
def test_nothing_is_said_of(case: str) -> None:
    assert said(SILENT[case], *LINK) == []


def test_the_earlier_board_is_related() -> None:
    path = "/dev/serial/by-id/usb-Workbench_main_1-if00"
    (found,) = findings(f"[board low]\nlink = {path}\n[board high]\nlink = {path}\n", "link-shared")
    assert (found.where.line, [place.line for place in found.related]) == (4, [2])


def test_an_address_counts_as_a_number() -> None:
    config = "[accelerometer a]\nbus = i2c1\naddress = 0x53\n[accelerometer b]\nbus = i2c1\naddress = 83\n"
    assert [one.line for one in said(config, "address-shared")] == [6]


def test_one_section_counts_once() -> None:
    config = (
        "[motor x]\nstep = PE1\ndirection = PE2\ndriver model = TMC2209\nuart = PD11\naddress = 1\n"
        "[motor y]\nstep = PE3\ndirection = PE4\ndriver model = TMC2209\nuart = PD11\naddress = 1\n"
    )
    assert [one.line for one in said(config, "address-shared")] == [12]


def test_half_of_the_address_to_write_to_is_proposed() -> None:
    (found,) = findings("[display front]\nbus = i2c1\naddress = 0x78\n", "address-reserved")
    assert "0x3C" in found.advice


HEAD = "[board head]\nlink = can0\naddress = 7\nbit rate = 500000\n"


@pytest.mark.parametrize(
    ("bus", "lines"),
    [
        ("[network can0]\nbit rate = 250 kbit/s\n", [6]),
        ("[lines.can0]\nspeed = 250k\n", [6]),
        ("[CAN bus]\nbitrate = 1M\n", [6]),
        ("[network can0]\nbit rate = 500 kbit/s\n", []),
        ("[network can1]\nbit rate = 250 kbit/s\n", []),
        ("[network can0]\nspeed = 5\n", []),
        ("[network can0]\nbit rate = ${fast}\n", []),
        ("[network can0]\nbit rate = 250000\ndata bit rate = 2000000\n", []),
        ("[network can0]\nbit rate = 250000\nfd = yes\n", []),
        ("[CAN bus]\nbitrate = 1M\n[board lid]\nlink = can1\nbit rate = 1M\naddress = 7\n", []),
    ],
)
def test_a_board_off_the_rate_of_its_bus(bus: str, lines: list[int]) -> None:
    assert [one.line for one in said(HEAD + bus, "bitrate-mismatch")] == lines


@pytest.mark.parametrize("link", ["/dev/ttyUSB0", "/dev/ttyACM3", "'/dev/ttyUSB12'"])
def test_numbered_paths(link: str) -> None:
    assert [one.line for one in said(f"[board main]\nlink = {link}\n", "link-unstable-path")] == [2]
