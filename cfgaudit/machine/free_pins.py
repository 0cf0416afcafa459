"""The pins of a board's chip that nothing uses yet."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple

from cfgaudit.machine.model import Machine, PinUse
from cfgaudit.machine.usb_link import on_own_usb

if TYPE_CHECKING:
    from cfgaudit.machine.board_chips import BoardChip
    from cfgaudit.machine.chips.chip import Chip, ChipPin


class FreePins(NamedTuple):
    """What is left of one board."""

    board: BoardChip
    chip: Chip
    pins: tuple[ChipPin, ...]
    """Brought out by the package and used by nothing, in the order of a person's counting."""
    kept: tuple[tuple[ChipPin, str], ...]
    """Used by nothing, but better left alone, and for what: a crystal, the debug port, USB."""
    unplaced: tuple[PinUse, ...]
    """Uses of names that the table does not have, numbers of a board's own: one of ``pins`` may be meant."""


def free_pins(machine: Machine) -> Iterator[FreePins]:
    """Of every board whose chip is known, in the order of the boards."""
    for board in machine.chips.values():
        chip = board.known
        if chip is not None:
            yield _left(machine, board, chip)


def _left(machine: Machine, board: BoardChip, chip: Chip) -> FreePins:
    from cfgaudit.machine.chips.chip import Reach

    uses = machine.pins.get(board.board, {})
    purposes = _purposes(board, chip)
    left = {key: pin for key, pin in chip.pins.items() if key not in uses and pin.reach is not Reach.NONE}
    return FreePins(
        board,
        chip,
        tuple(pin for key, pin in left.items() if key not in purposes),
        tuple((pin, purposes[key]) for key, pin in left.items() if key in purposes),
        tuple(one[0] for key, one in uses.items() if key not in chip.pins and one[0].certain),
    )


def _purposes(board: BoardChip, chip: Chip) -> dict[str, str]:
    usb = chip.usb_pins() if on_own_usb(board.part) else ()
    return {
        **dict.fromkeys(chip.crystal_pins(), "crystal"),
        **dict.fromkeys(chip.debug_pins(), "debug port"),
        **dict.fromkeys(usb, "USB"),
    }
