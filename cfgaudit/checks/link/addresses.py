"""address-shared and address-reserved: devices that share a line are told apart by their addresses."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.checks.buses import address_of, board_of, bus_name, on_i2c
from cfgaudit.checks.conflict import at_later
from cfgaudit.checks.finding import Limits, Problem, Skip, Subject
from cfgaudit.checks.registry import check
from cfgaudit.machine.model import Machine, Meaning, Part, PinUse
from cfgaudit.syntax.value import Opaque

ADDRESSES = ("driver.address", "bus.address", "board.address")
LINES = ("pin.uart", "pin.select", "pin.clock", "pin.data_in", "pin.data_out")
Line = tuple[str, ...]


@check("address-shared")
def address_shared(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """Two devices on one line that answer to one address."""
    first_at: dict[tuple[Line, int | str], tuple[Part, Meaning]] = {}
    pins = _pins_by_section(subject.machine)
    for part, address in {one.place: (part, one) for part, one in _addressed(subject.machine)}.values():
        line = line_of(subject.machine, part, address, pins)
        if line is None:
            continue
        one, first = first_at.setdefault((line, address_of(address)), (part, address))
        if one.section is not part.section:
            place, related = at_later(subject.tree, first.place, address.place)
            yield Problem(
                place,
                f"{one.title} and {part.title} share a line and both have the address {address.text.strip()}",
                subject=f"{one.title} {part.title}",
                related=related,
            )


def _addressed(machine: Machine) -> Iterator[tuple[Part, Meaning]]:
    for part in machine.parts:
        for role in ADDRESSES:
            address = part.get(role)
            if address is not None and address.fits and not isinstance(address.value, Opaque):
                yield part, address


def _pins_by_section(machine: Machine) -> dict[int, list[PinUse]]:
    """The uses of bus and select lines, by the identity of the section that they stand in."""
    found: dict[int, list[PinUse]] = {}
    for pins in machine.pins.values():
        for uses in pins.values():
            for use in uses:
                if use.meaning.role in LINES and use.part is not None:
                    found.setdefault(id(use.part.section), []).append(use)
    return found


def line_of(machine: Machine, part: Part, address: Meaning, pins: dict[int, list[PinUse]]) -> Line | None:
    """What a device's address counts on: its UART or select pin, its bus by name, or its bus's pins.

    None where the files do not say. A board with an address and no line is on the one bus that has no name.
    """
    uses = pins.get(id(part.section), [])
    for role in ("pin.uart", "pin.select"):
        lines = sorted({f"{use.board}/{use.key}" for use in uses if use.meaning.role == role})
        if lines:
            return (role, *lines)
    if address.role == "board.address":
        return _line_of_board(part)
    name = bus_name(part)
    if name is not None:
        return ("bus", board_of(machine, part), name)
    lines = sorted({f"{use.board}/{use.key}" for use in uses})
    return ("pins", *lines) if len(lines) > 1 else None


def _line_of_board(board: Part) -> Line | None:
    """The bus that it names, else the one bus; None where it has pins, which may be a line of its own."""
    name = bus_name(board)
    if name is None and any(True for _ in board.all("pin.")):
        return None
    return ("boards", name or "")


@check("address-reserved")
def address_reserved(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """An I²C address that the bus keeps for itself."""
    reserved = limits["reserved"].value
    assert isinstance(reserved, tuple)
    for part in subject.machine.parts:
        address = part.get("bus.address")
        if address is None or not address.fits or not on_i2c(part):
            continue
        number = address_of(address)
        if isinstance(number, int) and number in reserved:
            yield Problem(
                address.place,
                f"{part.title} has the address {address.text.strip()}, which I²C keeps for itself",
                subject=part.title,
                advice=_shifted(number),
            )


def _shifted(number: int) -> str | None:
    """Data sheets often print the address with the read/write bit behind it."""
    if number < 8 or number % 2:
        return None
    return (
        f"If the data sheet gives 0x{number:02X} as the address to write to, "
        f"then write the 7-bit address, 0x{number // 2:02X}."
    )
