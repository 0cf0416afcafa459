"""bus-pins-mismatch: clock and data lines that lead to no bus of the chip together."""

from __future__ import annotations

import re
from collections.abc import Iterator

from cfgaudit.checks.buses import on_i2c
from cfgaudit.checks.chip_pins import unknown_chips
from cfgaudit.checks.finding import Limits, Problem, Skip, Subject
from cfgaudit.checks.limit_value import number
from cfgaudit.checks.pin_words import pin_text, user_title
from cfgaudit.checks.registry import check
from cfgaudit.machine.bus_lines import BusLine, BusLines, bus_lines, units_with
from cfgaudit.machine.model import Part

IN_SOFTWARE = r"(?i)soft|bit.?bang|emulat"
"""What says that the firmware itself moves the lines, which it can do on any pins."""


@check("bus-pins-mismatch")
def bus_pins_mismatch(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """Lines that are meant for the chip's own bus, as far as what is written shows it, and miss it."""
    yield from unknown_chips(subject.machine)
    highest = number(limits, "software_highest")
    for lines in bus_lines(subject.machine):
        if not lines.units and not _in_software(lines.part) and _is_meant(lines, highest):
            yield _problem(lines)


def _in_software(part: Part) -> bool:
    settings = part.section.settings
    return any(re.search(IN_SOFTWARE, text) for one in settings for text in (one.name, one.value))


def _is_meant(lines: BusLines, software_highest: float) -> bool:
    """Whether a bus of the chip is meant: by its speed, or because each line is one of some bus."""
    from cfgaudit.machine.chips.chip import I2C, SPI

    part, clock, data = lines.part, lines.clock.pin, [line.pin for line in lines.data]
    speed = part.get("bus.speed")
    if speed is not None and speed.amount is not None and speed.amount > software_highest:
        return True
    if part.get("pin.select") or len(data) == 2:
        of_data = all(units_with(pin, SPI, ("MISO", "MOSI")) for pin in data)
        return of_data and bool(units_with(clock, SPI, ("SCK",)))
    if not part.get("bus.address") and not on_i2c(part):
        return False
    both = ("SCL", "SDA")  # the two of one bus the wrong way round are meant as well
    return bool(units_with(clock, I2C, both)) and bool(units_with(data[0], I2C, both))


def _problem(lines: BusLines) -> Problem:
    owner = user_title(lines.clock.use)
    every = (lines.clock, *lines.data)
    told = [f"{pin_text(line.use)} ({_told(line)})" for line in every]
    return Problem(
        lines.clock.use.place,
        f"{owner}: {', '.join(told[:-1])} and {told[-1]} are lines of no common bus of the {lines.chip.name}",
        subject=f"{owner} bus",
        related=tuple(line.use.place for line in every[1:]),
    )


def _told(line: BusLine) -> str:
    """What the pin is on the chip's buses: ``SPI1 SCK, SPI3 SCK``."""
    from cfgaudit.machine.chips.chip import I2C, SPI

    signals = [signal for kind in (SPI, I2C) for signal in line.pin.possibly(kind)]
    return ", ".join(map(str, signals)) or "no bus"
