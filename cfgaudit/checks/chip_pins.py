"""Uses of pins beside what the chip's table says of them."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple

from cfgaudit.checks.finding import Problem, Severity, Skip
from cfgaudit.checks.pin_words import pin_text, spelled, user_title
from cfgaudit.machine.model import Machine, PinUse
from cfgaudit.syntax.document import Place

if TYPE_CHECKING:
    from cfgaudit.machine.board_chips import BoardChip
    from cfgaudit.machine.chips.chip import Chip, ChipPin

MAKERS_KEY = re.compile(r"P[A-Z]\d{1,2}|P\d_\d{1,2}|GPIO\d{1,2}")
"""Keys of pins that are written as makers of chips write them, unlike the numbers on a board's print."""


class ChipUse(NamedTuple):
    """One use of a pin on a board whose chip is known; ``pin`` is None where the chip has none so written."""

    use: PinUse
    board: BoardChip
    chip: Chip
    pin: ChipPin | None


def chip_uses(machine: Machine) -> Iterator[ChipUse]:
    """Every use of a pin that is written as makers write pins, on every board whose chip is known."""
    for board in machine.chips.values():
        chip = board.known
        for key, uses in machine.pins.get(board.board, {}).items() if chip is not None else ():
            if chip is not None and MAKERS_KEY.fullmatch(key):
                pin = chip.pins.get(key)
                yield from (ChipUse(use, board, chip, pin) for use in uses if use.virtual is None)


def unknown_chips(machine: Machine) -> Iterator[Skip]:
    """Why nothing can be said of some boards' pins; that there are no tables at all is said once."""
    if not machine.chips:
        return
    from cfgaudit.machine.chips.chip import NO_TABLE, Unknown

    for board in machine.chips.values():
        if isinstance(board.chip, Unknown):
            reason = board.chip.reason
            yield Skip(reason if reason == NO_TABLE else f"{board.title}: {reason}")


def one_a_place(uses: Iterator[ChipUse]) -> Iterator[ChipUse]:
    """The first of all uses that would be found at the same place, an alias's own among them."""
    yield from {place_of(one.use): one for one in reversed(list(uses))}.values()


def place_of(use: PinUse) -> Place:
    """Where the pin itself is written: at the use, or where the alias is defined that it goes through."""
    return use.place if use.via is None else use.via.place


def chip_problem(
    one: ChipUse, what: str, *, advice: str | None = None, severity: Severity | None = None
) -> Problem:
    """``heater bed: drive is main.PB16,`` and what is wrong; an alias is found where it is defined."""
    use = one.use
    if use.via is None:
        owner = user_title(use)
        subject = f"{owner} {use.meaning.role} {use.meaning.setting.key}"
        return Problem(
            use.place,
            f"{owner}: {use.meaning.setting.name} is {pin_text(use)}, {what}",
            subject,
            advice=advice,
            severity=severity,
        )
    return Problem(
        use.via.place,
        f"{use.via.name} is {spelled(use.via.pin, '')}, {what}",
        subject=f"alias {use.via.name}",
        related=(use.place,),
        advice=advice,
        severity=severity,
    )
