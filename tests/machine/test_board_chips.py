"""Which chip a board has: by cfgaudit.toml, by its section, by the path that it is reached by."""

from __future__ import annotations

import pytest

from cfgaudit.audit import audit_text
from cfgaudit.checks.run import raise_fault
from cfgaudit.machine.board_chips import BoardChip
from cfgaudit.machine.chips.chip import NO_TABLE, Chip, ChipPin, Reach, Unknown
from cfgaudit.project import ProjectError


class Shelf:
    """A library of two invented chips."""

    known = ("rp2040", "stm32f103xe")

    def find(self, name: str) -> Chip | Unknown:
        if name.lower() not in self.known:
            return Unknown(name, f"the table of chips has no {name}")
        return Chip(name, {"GPIO1": ChipPin("GPIO1", Reach.EVERY)})


def chips(text: str, project: str | None = None) -> dict[str, BoardChip]:
    found = audit_text({"main.ini": text}, project, library=Shelf(), on_fault=raise_fault)
    return dict(found.machine.chips)


@pytest.mark.parametrize(
    ("section", "name"),
    [
        ("chip = RP2040", "RP2040"),
        ("chip = RP2040 at 125 MHz", "RP2040"),
        ('chip = "RP2040"', "RP2040"),
        ("link = /dev/serial/by-id/usb-Workbench_rp2040_E661-if00", "rp2040"),
        ("chip = home-made\nlink = /dev/serial/by-id/usb-Workbench_rp2040_E661-if00", "rp2040"),
        ("chip = STM32F103xE\nlink = /dev/serial/by-id/usb-Workbench_rp2040_E661-if00", "STM32F103xE"),
    ],
)
def test_a_known_chip(section: str, name: str) -> None:
    found = chips(f"[board main]\n{section}\n")["main"]
    assert isinstance(found.chip, Chip)
    assert (found.chip.name, found.title) == (name, "board main")
    assert found.stated is not None
    assert found.known is found.chip


@pytest.mark.parametrize("section", ["link = can0", "link = rp2040", "chip = ${chip}", "bit rate = 500000"])
def test_boards_that_name_no_chip(section: str) -> None:
    assert chips(f"[board main]\n{section}\n") == {}


def test_a_chip_outside_the_table_has_a_reason() -> None:
    found = chips("[board main]\nchip = LPC1768\n")["main"]
    assert found.chip == Unknown("LPC1768", "the table of chips has no LPC1768")
    assert found.known is None


def test_the_project_has_the_last_word() -> None:
    text = "[board main]\nchip = LPC1768\n[board arm]\nchip = RP2040\n"
    found = chips(text, '[chips]\n"main" = "STM32F103xE"\n')
    assert [(key, one.chip.name) for key, one in found.items()] == [
        ("main", "STM32F103xE"),
        ("arm", "RP2040"),
    ]


@pytest.mark.parametrize(("board", "key"), [("main", ""), ("mainboard", "")])
def test_the_project_names_the_chip_of_a_board_that_no_section_describes(board: str, key: str) -> None:
    found = chips("[fan bay]\ndrive = PA1\n", f'[chips]\n"{board}" = "RP2040"\n')
    assert found[key].known is not None


def test_the_project_names_the_chip_of_a_board_that_only_pins_name() -> None:
    found = chips("[fan bay]\ndrive = left:PA1\n", '[chips]\n"left" = "RP2040"\n')
    assert found["left"].known is not None


def test_a_board_that_is_not_there_is_said() -> None:
    found = chips("[board main]\nchip = RP2040\n", '[chips]\n"mian" = "RP2040"\n')["mian"]
    assert isinstance(found.chip, Unknown)
    assert "mian" in found.chip.reason


def test_without_a_library_every_chip_is_unknown_for_one_reason() -> None:
    found = audit_text({"main.ini": "[board main]\nchip = RP2040\n"}, on_fault=raise_fault)
    assert found.machine.chips["main"].chip == Unknown("RP2040", NO_TABLE)
    skipped = {one.rule: one.reason for one in found.findings.skipped if one.reason == NO_TABLE}
    assert set(skipped) == {
        *("pin-not-on-chip", "pin-not-bonded", "pin-not-analog", "pin-debug-or-usb"),
        *("pin-timer-clash", "bus-pins-mismatch"),
    }


@pytest.mark.parametrize("table", ["main = 7", "main = ''", "main = ['RP2040']"])
def test_what_is_no_part_number_is_said_with_its_line(table: str) -> None:
    with pytest.raises(ProjectError, match=r"^cfgaudit\.toml:2: main must be a text"):
        chips("[board main]\nchip = RP2040\n", f"[chips]\n{table}\n")
