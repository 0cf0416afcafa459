"""The clock and data lines of each part, and the buses of the chip that all of them can belong to."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, NamedTuple

from cfgaudit.machine.model import Machine, Part, PinUse

if TYPE_CHECKING:
    from cfgaudit.machine.board_chips import BoardChip
    from cfgaudit.machine.chips.chip import Chip, ChipPin

CLOCK, DATA = "pin.clock", ("pin.data_in", "pin.data_out")
OTHER_CLOCKS = ("light", "other")
"""Kinds of parts whose clock may be that of no bus: chains of lamps, knobs."""


class BusLine(NamedTuple):
    """One line, and the pin of the chip that it is at."""

    use: PinUse
    pin: ChipPin


class BusLines(NamedTuple):
    """A clock and one or two data lines, as one section names them."""

    part: Part
    board: BoardChip
    chip: Chip
    clock: BusLine
    data: tuple[BusLine, ...]

    @property
    def units(self) -> frozenset[str]:
        """The chip's buses that reach every line, whichever way data goes on an SPI."""
        from cfgaudit.machine.chips.chip import I2C, SPI

        spi = units_with(self.clock.pin, SPI, ("SCK",))
        i2c = units_with(self.clock.pin, I2C, ("SCL",)) if len(self.data) == 1 else frozenset[str]()
        for line in self.data:
            spi &= units_with(line.pin, SPI, ("MISO", "MOSI"))
            i2c &= units_with(line.pin, I2C, ("SDA",))
        return spi | i2c


def units_with(pin: ChipPin, kind: str, names: Sequence[str]) -> frozenset[str]:
    """The peripherals of a kind that can have one of these lines at a pin."""
    return frozenset(signal.unit for signal in pin.possibly(kind) if signal.name in names)


def bus_lines(machine: Machine) -> Iterator[BusLines]:
    """Of every part with a clock and data on one board, at pins that the board's chip is known to have."""
    for board in machine.chips.values():
        chip = board.known
        if chip is None or chip.anywhere:
            continue
        for part, lines in _of_board(machine, board.board, chip).values():
            clock, data = lines.get(CLOCK), tuple(lines[role] for role in DATA if role in lines)
            if clock is not None and data:
                yield BusLines(part, board, chip, clock, data)


def _of_board(machine: Machine, board: str, chip: Chip) -> dict[int, tuple[Part, dict[str, BusLine]]]:
    """The lines of each section, by its identity and their roles."""
    found: dict[int, tuple[Part, dict[str, BusLine]]] = {}
    for key, uses in machine.pins.get(board, {}).items():
        pin = chip.pins.get(key)
        for use in uses if pin is not None else ():
            part, role = use.part, use.meaning.role
            if (
                pin is not None
                and part is not None
                and part.kind not in OTHER_CLOCKS
                and role in (CLOCK, *DATA)
            ):
                found.setdefault(id(part.section), (part, {}))[1].setdefault(role, BusLine(use, pin))
    return found
