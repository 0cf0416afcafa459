"""What is left of a board: an invented chip, and machines that use some of it."""

from __future__ import annotations

from cfgaudit.audit import Audit, audit_text
from cfgaudit.checks.run import raise_fault
from cfgaudit.machine.chips.chip import CRYSTAL, DEBUG, USB, Chip, ChipPin, Reach, Signal, Unknown
from cfgaudit.machine.free_pins import FreePins, free_pins


def pin(name: str, *signals: Signal, reach: Reach = Reach.EVERY) -> ChipPin:
    return ChipPin(name, reach, signals)


PINS = (
    *(pin("PA1"), pin("PA2"), pin("PA3")),
    pin("PA11", Signal(USB, "USB", "DM")),
    pin("PA12", Signal(USB, "USB", "DP")),
    pin("PA13", Signal(DEBUG, "SWD", "SWDIO")),
    pin("PA15", Signal(DEBUG, "JTAG", "TDI")),
    pin("PC14", Signal(CRYSTAL, "OSC32", "IN")),
    pin("PF1", reach=Reach.NONE),
)


class OneChip:
    """Every name means the invented chip."""

    def __init__(self, *more: ChipPin) -> None:
        self.chip = Chip("XY1", {one.name: one for one in (*PINS, *more)})

    def find(self, name: str) -> Chip | Unknown:
        return self.chip


def audited(text: str, *more: ChipPin) -> Audit:
    return audit_text({"main.ini": text}, library=OneChip(*more), on_fault=raise_fault)


def left(text: str, *more: ChipPin) -> FreePins:
    (found,) = free_pins(audited(text, *more).machine)
    return found


BOARD = "[board main]\nchip = RP2040\n"


def test_what_is_used_is_not_free() -> None:
    found = left(f"{BOARD}[fan bay]\ndrive = main.PA2\n[light lid]\npin = !PA3\n")
    assert [one.name for one in found.pins] == ["PA1", "PA11", "PA12", "PA15"]
    assert [(one.name, why) for one, why in found.kept] == [("PA13", "debug port"), ("PC14", "crystal")]


def test_usb_is_kept_where_the_board_is_reached_over_it() -> None:
    link = "link = /dev/serial/by-id/usb-Workbench_main_1-if00\n"
    assert [one.name for one in left(BOARD + link).pins] == ["PA1", "PA2", "PA3", "PA15"]
    assert [one.name for one in left(f"{BOARD}link = can0\n").pins] == [
        "PA1",
        "PA2",
        "PA3",
        "PA11",
        "PA12",
        "PA15",
    ]


def test_a_pin_behind_an_alias_is_used() -> None:
    found = left(f"{BOARD}[aliases]\nplug = PA2\nspare = PA3\n[fan bay]\ndrive = plug\n")
    assert "PA2" not in [one.name for one in found.pins]
    assert "PA3" in [one.name for one in found.pins]  # an alias is a name, not a use


def test_numbers_of_the_boards_own_may_be_any_pin() -> None:
    found = left(f"{BOARD}[fan bay]\ndrive = main.D9\n[light lid]\npin = PA3\n")
    assert [use.pin.name for use in found.unplaced] == ["D9"]


def value(text: str, *more: ChipPin) -> list[object]:
    return [one.value for one in audited(text, *more).facts.matching("board.*.pins_free")]


def test_the_fact_counts_what_is_left() -> None:
    assert value(f"{BOARD}[fan bay]\ndrive = main.PA2\n") == [5.0]


def test_there_is_no_fact_where_a_used_pin_is_written_in_an_unknown_way() -> None:
    assert value(f"{BOARD}[fan bay]\ndrive = main.D9\n") == []


def test_there_is_no_fact_where_the_package_is_left_open() -> None:
    assert value(BOARD, pin("PB1", reach=Reach.SOME)) == []


def test_there_is_no_fact_without_a_table() -> None:
    found = audit_text({"main.ini": BOARD}, on_fault=raise_fault)
    assert list(found.facts.matching("board.*.pins_free")) == []
    assert list(free_pins(found.machine)) == []
