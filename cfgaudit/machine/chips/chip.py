"""A chip as rules and reports see it: its pins, and what each of them can do."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from enum import StrEnum
from typing import NamedTuple, Protocol

ANALOG, PWM, SPI, I2C, UART = "analog", "pwm", "spi", "i2c", "uart"
DEBUG, USB, CRYSTAL = "debug", "usb", "crystal"
JOBS = (ANALOG, PWM, UART, SPI, I2C)
"""What a builder may want a free pin for."""
SWD = "SWD"
HIGH_SPEED = "USB_HS"
NO_TABLE = "the table of chips is not installed: pip install 'cfgaudit[chips]'"
_NUMBER = re.compile(r"(\d+)")


class Signal(NamedTuple):
    """One thing that a pin can be switched to: ``("spi", "SPI1", "SCK")``, ``("pwm", "TIM2", "CH3")``."""

    kind: str
    unit: str
    """The peripheral; pins of one unit share its frequency, its clock or its data lines."""
    name: str

    def __str__(self) -> str:
        return f"{self.unit} {self.name}"


class Reach(StrEnum):
    """Whether the package brings a pin out; ``SOME`` is for a name that several packages share."""

    EVERY = "every"
    SOME = "some"
    NONE = "none"


class ChipPin(NamedTuple):
    """One pin. A part number that leaves something open stands for all its members: ``signals`` are what
    each of them has that brings the pin out, ``sometimes`` what only some of them have."""

    name: str
    """As the maker writes it: ``PB12``, ``P0.13``, ``GPIO14``."""
    reach: Reach
    signals: tuple[Signal, ...] = ()
    sometimes: tuple[Signal, ...] = ()

    def surely(self, kind: str) -> Iterator[Signal]:
        """The signals of a kind that every member has here."""
        return (one for one in self.signals if one.kind == kind)

    def possibly(self, kind: str) -> Iterator[Signal]:
        """The signals of a kind that any member has here."""
        return (one for one in (*self.signals, *self.sometimes) if one.kind == kind)


class Chip(NamedTuple):
    """A chip, or all chips that a shortened part number stands for."""

    name: str
    pins: Mapping[str, ChipPin]
    """By the key of `cfgaudit.syntax.pin.Pin` (``PB12``, ``P0_13``), in the order of a person's counting."""
    anywhere: frozenset[str] = frozenset()
    """Kinds of signals that can be led to every pin."""
    source: str = ""

    def knows(self, kind: str) -> bool:
        """Whether the table says anything of such signals; where it does not, nothing may be concluded."""
        return kind in self.anywhere or any(any(pin.possibly(kind)) for pin in self.pins.values())

    def usb_pins(self) -> tuple[str, ...]:
        """The keys of the two data lines by which a computer reaches the chip.

        Where a chip has a full-speed and a high-speed pair, that is the full-speed one.
        """
        pairs: dict[str, list[str]] = {}
        for key, pin in self.pins.items():
            for unit in {signal.unit for signal in pin.surely(USB)}:
                pairs.setdefault(unit, []).append(key)
        chosen = min(pairs, key=lambda unit: (unit == HIGH_SPEED, unit), default="")
        return tuple(pairs.get(chosen, ()))

    def debug_pins(self) -> tuple[str, ...]:
        """The keys of the two lines of the serial wire debug port."""
        return tuple(
            key for key, pin in self.pins.items() if any(one.unit == SWD for one in pin.surely(DEBUG))
        )

    def crystal_pins(self) -> tuple[str, ...]:
        """The keys of the pins that a crystal may hang on."""
        return tuple(key for key, pin in self.pins.items() if any(pin.possibly(CRYSTAL)))


class Unknown(NamedTuple):
    """A chip of which no table says anything."""

    name: str
    reason: str
    """One plain clause: why, and what to do."""


class ChipLibrary(Protocol):
    """Where chips are looked up."""

    def find(self, name: str) -> Chip | Unknown:
        """The chip with a part number, or all chips that a shortened one stands for."""
        ...


def pin_key(name: str) -> str:
    """The key of a pin as makers write it: ``P0.03`` is ``P0_3``."""
    port, dot, number = name.partition(".")
    return f"{port}_{int(number)}" if dot else name


def counting_order(name: str) -> list[int | str]:
    """For sorting as a person counts: ``PA2`` before ``PA10``."""
    return [int(bit) if bit.isdigit() else bit for bit in _NUMBER.split(name)]
