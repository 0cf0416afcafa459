"""Free pins as text and JSON: what a builder looks for before an upgrade."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from cfgaudit.machine.chips.chip import JOBS, Chip, ChipPin, Reach, Unknown
from cfgaudit.machine.free_buses import NEEDED, FreeBus, free_buses
from cfgaudit.machine.free_pins import FreePins, free_pins
from cfgaudit.machine.model import Machine
from cfgaudit.report.json_form import Json
from cfgaudit.report.lines import BLANK, Line, Piece, breadth, counted, padded, visible, wrapped
from cfgaudit.tree.names import fold_name

INDENT = "  "
WORDS = {"analog": "voltages", "pwm": "pulses", "uart": "UART", "spi": "SPI", "i2c": "I²C"}
CAN = {"analog": "read a voltage", "pwm": "give pulses"}
BOARD_DRAWING = (
    "The table knows the chip, not the board: the board's drawing tells whether a pin leads to a plug, "
    "and what else hangs on it."
)
NO_CHIP = "nothing names its chip; cfgaudit.toml can, in [chips]"


def free_form(machine: Machine, job: str | None) -> Json:
    """``free``: by board its chip, the free pins with what each can do, buses, and what may be in the way.

    A board of whose chip nothing is known has a ``reason`` instead.
    """
    lefts = {one.board.board: one for one in free_pins(machine)}
    boards = {name: lefts.get(key) for key, name in _boards(machine)}
    return {
        "free": {
            name: {"reason": _reason(machine, fold_name(name))}
            if one is None
            else _board_form(machine, one, job)
            for name, one in boards.items()
        }
    }


def _board_form(machine: Machine, left: FreePins, job: str | None) -> Json:
    pins = _pins_for(left, job)
    buses = list(free_buses(machine, left, job)) if job is not None and job in NEEDED else []
    return {
        "chip": left.chip.name,
        "source": left.chip.source,
        "pins": {
            pin.name: [list(one) for one in pin.signals if one.kind in (JOBS if job is None else (job,))]
            for pin in pins
        },
        "buses": {
            one.unit: {
                "lines": {name: [pin.name for pin in pins] for name, pins in one.lines.items()},
                "used_by": one.used_by or None,
            }
            for one in buses
        },
        "not_in_every_package": [pin.name for pin in pins if pin.reach is Reach.SOME],
        "left_alone": {pin.name: purpose for pin, purpose in left.kept},
        "unplaced": [use.pin.name for use in left.unplaced],
    }


def _boards(machine: Machine) -> Iterator[tuple[str, str]]:
    """The key and the name of every board that is described, or that has pins and a known chip."""
    found = {fold_name(part.name): part.name for part in machine.kind("board")}
    yield from found.items()
    yield from ((key, key) for key in machine.chips if key not in found)


def _pins_for(left: FreePins, job: str | None) -> list[ChipPin]:
    if job is None or job in left.chip.anywhere:
        return list(left.pins)
    return [pin for pin in left.pins if any(pin.surely(job))]


def _reason(machine: Machine, key: str) -> str:
    board = machine.chips.get(key)
    return board.chip.reason if board is not None and isinstance(board.chip, Unknown) else NO_CHIP


def free_lines(machine: Machine, job: str | None, width: int) -> Iterator[Line]:
    """Board by board what is left, for one job or for any."""
    lefts = {one.board.board: one for one in free_pins(machine)}
    for key, name in _boards(machine):
        title = Piece(visible(f"board {name}" if name else "the board"), "strong")
        left = lefts.get(key)
        if left is None:
            yield from wrapped(visible(_reason(machine, key)), width, INDENT, first=(title, Piece(INDENT)))
        else:
            yield from _board_lines(machine, title, left, job, width)
        yield BLANK
    yield from wrapped(
        BOARD_DRAWING
        if lefts
        else "Which pins are free is not known without a chip and its table. A board's section names its "
        "chip, or cfgaudit.toml does in [chips].",
        width,
        "",
    )


def _board_lines(
    machine: Machine, title: Piece, left: FreePins, job: str | None, width: int
) -> Iterator[Line]:
    pins = _pins_for(left, job)
    count = counted(len(pins), "free pin")
    what = f"{left.chip.name}, {count}" + ("" if job is None else f" that can {_can(job)}")
    yield from wrapped(what, width, INDENT, "faint", (title, Piece(INDENT)))
    if job is not None and not left.chip.knows(job):
        yield from wrapped(f"The table does not tell which pins of this chip can {_can(job)}.", width, INDENT)
    if job is not None and job in NEEDED and job not in left.chip.anywhere:
        yield from _bus_lines(list(free_buses(machine, left, job)), width)
    else:
        yield from _pin_lines(pins, job, left.chip, width)
    yield from _remarks(left, pins, width)


def _can(job: str) -> str:
    return CAN.get(job, f"be a line of {WORDS[job]}")


def _pin_lines(pins: Sequence[ChipPin], job: str | None, chip: Chip, width: int) -> Iterator[Line]:
    told = {_marked(pin): _abilities(pin, job) for pin in pins}
    longest = max(map(len, told), default=0)
    for name, abilities in told.items():
        if abilities:
            opening = f"{INDENT}{padded(name, longest)}{INDENT}"
            yield from wrapped(abilities, width, breadth(opening), "faint", opening)
    if others := [name for name, abilities in told.items() if not abilities]:
        opening = "" if chip.anywhere else "Only high and low: "
        yield from wrapped(f"{opening}{', '.join(others)}", width, INDENT)
    if anywhere := [WORDS[one] for one in JOBS if one in chip.anywhere and job in (None, one)]:
        yield from wrapped(f"Any pin of this chip: {', '.join(anywhere)}", width, INDENT)


def _abilities(pin: ChipPin, job: str | None) -> str:
    jobs = JOBS if job is None else (job,)
    told = [", ".join(map(str, pin.surely(one))) for one in jobs]
    return "; ".join(one for one in told if one)


def _marked(pin: ChipPin) -> str:
    return f"{pin.name}*" if pin.reach is Reach.SOME else pin.name


def _bus_lines(buses: Sequence[FreeBus], width: int) -> Iterator[Line]:
    """The buses that are still whole, then those of which only some lines are left."""
    longest = max((len(one.unit) for one in buses), default=0)
    for bus in sorted(buses, key=lambda one: not one.is_whole):
        lines = [f"{name} {' or '.join(map(_marked, pins)) or '–'}" for name, pins in bus.lines.items()]
        if bus.used_by:
            lines[-1] += f", but {visible(bus.used_by)} has this bus on other pins"
        opening = f"{INDENT}{padded(bus.unit, longest)}{INDENT}"
        style = "" if bus.is_whole else "faint"
        yield from wrapped(", ".join(lines), width, breadth(opening), style, opening)


def _remarks(left: FreePins, pins: Sequence[ChipPin], width: int) -> Iterator[Line]:
    if any(pin.reach is Reach.SOME for pin in pins):
        yield from wrapped(f"* not in every package of the {left.chip.name}", width, INDENT, "faint")
    if left.kept:
        purposes = list(dict.fromkeys(purpose for _, purpose in left.kept))
        told = [
            f"{', '.join(pin.name for pin, purpose in left.kept if purpose == one)} ({one})"
            for one in purposes
        ]
        yield from wrapped(f"Left alone: {', '.join(told)}", width, INDENT, "faint")
    if left.unplaced:
        names = ", ".join(dict.fromkeys(visible(use.pin.name) for use in left.unplaced))
        yield from wrapped(
            f"In use, but not as the chip's maker calls it: {names}; it may be one of the pins above.",
            width,
            INDENT,
        )
