"""The buses of a chip that free pins are left for."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import product
from typing import NamedTuple

from cfgaudit.machine.bus_lines import bus_lines
from cfgaudit.machine.chips.chip import I2C, SPI, UART, ChipPin
from cfgaudit.machine.free_pins import FreePins
from cfgaudit.machine.model import Machine

NEEDED: Mapping[str, tuple[str, ...]] = {
    SPI: ("SCK", "MISO", "MOSI"),
    I2C: ("SCL", "SDA"),
    UART: ("TX", "RX"),
}
"""The lines without which a bus is none; an SPI's select line can be any pin."""


class FreeBus(NamedTuple):
    """One bus, and the free pins that each of its lines can be at."""

    unit: str
    lines: Mapping[str, tuple[ChipPin, ...]]
    used_by: str
    """What has the bus already, on other pins; empty where nothing has it, as far as the files tell."""

    @property
    def is_whole(self) -> bool:
        """Whether nothing has the bus, and every line can have a pin of its own."""
        return not self.used_by and any(
            len({pin.name for pin in pins}) == len(self.lines) for pins in product(*self.lines.values())
        )


def free_buses(machine: Machine, left: FreePins, kind: str) -> Iterator[FreeBus]:
    """Every bus of a kind (``spi``, ``i2c``, ``uart``) that any free pin is a line of, in order of name."""
    users = dict(_users(machine, left.board.board))
    found: dict[str, dict[str, list[ChipPin]]] = {}
    for pin in left.pins:
        for signal in pin.surely(kind):
            if signal.name in NEEDED[kind]:
                found.setdefault(signal.unit, {}).setdefault(signal.name, []).append(pin)
    for unit, lines in sorted(found.items()):
        named = {name: tuple(lines.get(name, ())) for name in NEEDED[kind]}
        yield FreeBus(unit, named, users.get(unit, ""))


def _users(machine: Machine, board: str) -> Iterator[tuple[str, str]]:
    """The buses that parts have for certain: those that alone reach all their lines."""
    for lines in bus_lines(machine):
        if lines.board.board == board and len(lines.units) == 1:
            yield next(iter(lines.units)), lines.part.title
