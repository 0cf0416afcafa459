"""The report of free pins fits its window, and hides nothing that stands in the way."""

from __future__ import annotations

from functools import cache

import pytest
from chip_library import LIBRARY, needs_tables

from cfgaudit.audit import Audit, audit, audit_text
from cfgaudit.data import data_folder
from cfgaudit.machine.chips.chip import ANALOG, JOBS, PWM, Chip, ChipPin, Reach, Signal, Unknown
from cfgaudit.report.free_pins import free_lines
from cfgaudit.report.lines import breadth, plain
from cfgaudit.source import Memory


@cache
def heron() -> Audit:
    folder = data_folder("samples") / "heron" / "base"
    files = {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*.ini")}
    return audit(Memory(files), "heron.ini", library=LIBRARY)


@needs_tables
@pytest.mark.parametrize("width", [40, 80, 120])
@pytest.mark.parametrize("job", [None, *JOBS])
def test_it_fits_its_window(job: str | None, width: int) -> None:
    lines = list(free_lines(heron().machine, job, width))
    assert len(lines) > 6
    assert [plain(one) for one in lines if breadth(plain(one)) > width] == []


class Invented:
    """A chip whose pins can be led anywhere for pulses, and of whose converter the table says nothing."""

    def find(self, name: str) -> Chip | Unknown:
        pins = (
            ChipPin("PA1", Reach.EVERY, (Signal("spi", "SPI1", "SCK"),)),
            ChipPin("PA2", Reach.SOME),
            ChipPin("PA3", Reach.NONE),
        )
        return Chip("XY1", {one.name: one for one in pins}, frozenset({PWM}))


def told(text: str, job: str | None) -> list[str]:
    machine = audit_text({"main.ini": text}, library=Invented()).machine
    return [plain(one) for one in free_lines(machine, job, 100)]


BOARD = "[board main]\nchip = RP2040\n"


def test_what_the_table_does_not_tell_is_said() -> None:
    assert told(BOARD, ANALOG)[:2] == [
        "board main  XY1, 0 free pins that can read a voltage",
        "  The table does not tell which pins of this chip can read a voltage.",
    ]


def test_what_any_pin_can() -> None:
    assert told(BOARD, PWM)[:4] == [
        "board main  XY1, 2 free pins that can give pulses",
        "  PA1, PA2*",
        "  Any pin of this chip: pulses",
        "  * not in every package of the XY1",
    ]


def test_a_number_of_the_boards_own_may_be_any_of_them() -> None:
    assert "  In use, but not as the chip's maker calls it: D9; it may be one of the pins above." in told(
        BOARD + "[fan bay]\ndrive = main.D9\n", None
    )


def test_a_bus_without_all_its_lines() -> None:
    assert "  SPI1  SCK PA1, MISO –, MOSI –" in told(BOARD, "spi")


def test_nothing_is_known() -> None:
    assert told("[board main]\nlink = can0\n", None) == [
        "board main  nothing names its chip; cfgaudit.toml can, in [chips]",
        "",
        "Which pins are free is not known without a chip and its table. A board's section names its chip, or",
        "cfgaudit.toml does in [chips].",
    ]
