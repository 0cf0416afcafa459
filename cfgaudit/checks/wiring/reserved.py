"""pin-debug-or-usb: pins by which the board itself is reached."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.checks.chip_pins import ChipUse, chip_problem, chip_uses, one_a_place, unknown_chips
from cfgaudit.checks.finding import Limits, Problem, Severity, Skip, Subject
from cfgaudit.checks.registry import check


@check("pin-debug-or-usb")
def pin_debug_or_usb(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A pin that carries USB while the board is reached over it, or the debug port.

    A board's own section names such pins for what they are.
    """
    if not subject.machine.chips:
        return
    from cfgaudit.machine.usb_link import on_own_usb

    yield from unknown_chips(subject.machine)
    reserved = {
        board.board: (chip.usb_pins() if on_own_usb(board.part) else (), chip.debug_pins())
        for board in subject.machine.chips.values()
        if (chip := board.known) is not None
    }
    for one in one_a_place(chip_uses(subject.machine)):
        if one.use.part is not None and one.use.part.kind == "board":
            continue
        usb, debug = reserved[one.board.board]
        if one.use.key in usb:
            yield _usb(one)
        elif one.use.key in debug:
            yield _debug(one)


def _usb(one: ChipUse) -> Problem:
    return chip_problem(one, f"a USB line of the {one.chip.name}, and {one.board.title} is reached over USB")


def _debug(one: ChipUse) -> Problem:
    return chip_problem(
        one,
        f"a line of the debug port of the {one.chip.name}",
        advice="Nothing is wrong while no programmer is plugged in, but the pin is driven until the firmware "
        "runs; use another one for a heater or a motor.",
        severity=Severity.NOTE,
    )
