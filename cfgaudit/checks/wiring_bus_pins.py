"""bus-pins-mismatch: clock and data lines that lead to no bus of the chip together."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from cfgaudit.checks.buses import on_i2c
from cfgaudit.checks.chip_pins import ChipUse, chip_uses, unknown_chips
from cfgaudit.checks.finding import Limits, Problem, Skip, Subject
from cfgaudit.checks.limit_value import number
from cfgaudit.checks.pin_words import pin_text, user_title
from cfgaudit.checks.registry import check
from cfgaudit.machine.model import Part

if TYPE_CHECKING:
    from cfgaudit.machine.chips.chip import ChipPin

CLOCK, DATA = "pin.clock", ("pin.data_in", "pin.data_out")
OTHER_CLOCKS = ("light", "other")
"""Kinds of parts whose clock may be that of no bus: chains of lamps, knobs."""
IN_SOFTWARE = r"(?i)soft|bit.?bang|emulat"
"""What says that the firmware itself moves the lines, which it can do on any pins."""
Wires = Sequence[ChipUse]
"""The clock first, then one or two data lines, of one section."""


@check("bus-pins-mismatch")
def bus_pins_mismatch(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """Lines that are meant for the chip's own bus, as far as what is written shows it, and miss it."""
    yield from unknown_chips(subject.machine)
    highest = number(limits, "software_highest")
    for part, wires in _wired(subject):
        if not _units(wires) and not _in_software(part) and _is_meant(wires, part, highest):
            yield _problem(wires)


def _wired(subject: Subject) -> Iterator[tuple[Part, Wires]]:
    """The bus lines of every part that has a clock and data on one board with a known chip."""
    found: dict[int, dict[str, ChipUse]] = {}
    for one in chip_uses(subject.machine):
        part = one.use.part
        if part is not None and part.kind not in OTHER_CLOCKS and one.use.meaning.role in (CLOCK, *DATA):
            found.setdefault(id(part.section), {}).setdefault(one.use.meaning.role, one)
    for lines in found.values():
        clock, data = lines.get(CLOCK), [lines[role] for role in DATA if role in lines]
        wires = [one for one in (clock, *data) if one is not None and one.pin is not None]
        same_board = len({one.board.board for one in wires}) == 1
        if clock is not None and data and len(wires) == len(lines) and same_board and not clock.chip.anywhere:
            assert clock.use.part is not None
            yield clock.use.part, wires


def _units(wires: Wires) -> set[str]:
    """The buses of the chip that all lines can belong to, whichever way data goes."""
    from cfgaudit.machine.chips.chip import I2C, SPI

    clock, *data = (one.pin for one in wires if one.pin is not None)
    spi = _units_with(clock, SPI, ("SCK",))
    i2c = _units_with(clock, I2C, ("SCL",)) if len(data) == 1 else set[str]()
    for pin in data:
        spi &= _units_with(pin, SPI, ("MISO", "MOSI"))
        i2c &= _units_with(pin, I2C, ("SDA",))
    return spi | i2c


def _units_with(pin: ChipPin, kind: str, names: Sequence[str]) -> set[str]:
    return {signal.unit for signal in pin.possibly(kind) if signal.name in names}


def _in_software(part: Part) -> bool:
    settings = part.section.settings
    return any(re.search(IN_SOFTWARE, text) for one in settings for text in (one.name, one.value))


def _is_meant(wires: Wires, part: Part, software_highest: float) -> bool:
    """Whether a bus of the chip is meant: by its speed, or because each line is one of some bus."""
    from cfgaudit.machine.chips.chip import I2C, SPI

    speed = part.get("bus.speed")
    if speed is not None and speed.amount is not None and speed.amount > software_highest:
        return True
    clock, *data = (one.pin for one in wires if one.pin is not None)
    if part.get("pin.select") or len(data) == 2:
        return bool(_units_with(clock, SPI, ("SCK",))) and all(
            _units_with(pin, SPI, ("MISO", "MOSI")) for pin in data
        )
    if not part.get("bus.address") and not on_i2c(part):
        return False
    lines = ("SCL", "SDA")  # the two of one bus the wrong way round are meant as well
    return bool(_units_with(clock, I2C, lines)) and bool(_units_with(data[0], I2C, lines))


def _problem(wires: Wires) -> Problem:
    first = wires[0]
    owner = user_title(first.use)
    told = [f"{pin_text(one.use)} ({_told(one)})" for one in wires]
    return Problem(
        first.use.place,
        f"{owner}: {', '.join(told[:-1])} and {told[-1]} are lines of no common bus of the {first.chip.name}",
        subject=f"{owner} bus",
        related=tuple(one.use.place for one in wires[1:]),
    )


def _told(one: ChipUse) -> str:
    """What the pin is on the chip's buses: ``SPI1 SCK, SPI3 SCK``."""
    from cfgaudit.machine.chips.chip import I2C, SPI

    signals = [signal for kind in (SPI, I2C) for signal in (one.pin.possibly(kind) if one.pin else ())]
    return ", ".join(map(str, signals)) or "no bus"
