"""pin-not-on-chip and pin-not-bonded: pins that the board's chip does not have, or does not bring out."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from cfgaudit.checks.chip_pins import ChipUse, chip_problem, chip_uses, one_a_place, unknown_chips
from cfgaudit.checks.finding import Limits, Problem, Severity, Skip, Subject
from cfgaudit.checks.registry import check

if TYPE_CHECKING:
    from cfgaudit.machine.chips.chip import Chip

WAY = re.compile(r"(?<=P)[A-Z]|\d+")
PORT_AND_NUMBER = re.compile(r"(P[A-Z]|P\d_|GPIO)(\d+)")


@check("pin-not-on-chip")
def pin_not_on_chip(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A pin that no package of the chip has.

    Where none of a board's pins is written in its maker's way, the firmware counts pins in a way of its own.
    """
    yield from unknown_chips(subject.machine)
    uses = list(chip_uses(subject.machine))
    ways = {name: {_way(key) for key in chip.pins} for name, chip in _chips(uses).items()}
    told = {one.board.board for one in uses if _way(one.use.key) in ways[one.chip.name]}
    for one in one_a_place(iter(uses)):
        if one.pin is None and one.board.board in told:
            yield _problem(one, f"has no such pin{_hint(one)}")


def _chips(uses: Iterable[ChipUse]) -> dict[str, Chip]:
    return {one.chip.name: one.chip for one in uses}


def _way(key: str) -> str:
    """``P``, ``P_`` or ``GPIO``: how a maker writes pins."""
    return WAY.sub("", key)


@check("pin-not-bonded")
def pin_not_bonded(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A pin that the silicon has, but that the package does not bring out."""
    yield from unknown_chips(subject.machine)
    for one in one_a_place(use for use in chip_uses(subject.machine) if _is_inside(use)):
        yield _problem(one, "does not bring that pin out: other packages of the chip do")


def _is_inside(one: ChipUse) -> bool:
    return one.pin is not None and one.pin.reach == "none"


def _problem(one: ChipUse, what: str) -> Problem:
    """A word in the section of an unknown part may look like a pin and be something else."""
    use = one.use
    doubtful = use.meaning.role == "pin.other" and use.via is None and use.pin.board is None
    return chip_problem(
        one,
        f"but the {one.chip.name} of {one.board.title} {what}",
        severity=Severity.WARNING if doubtful else None,
    )


def _hint(one: ChipUse) -> str:
    """Where the pin's port ends, or that there is no such port."""
    ports = _ports(one.chip)
    wanted = PORT_AND_NUMBER.fullmatch(one.use.key)
    if wanted is None:
        return ""
    last = max(ports.get(wanted[1], ()), default=None)
    if last is None:
        return f" (its pins begin with {', '.join(port.rstrip('_') for port in ports)})"
    return f" (the last one is {wanted[1].replace('_', '.')}{last})" if int(wanted[2]) > last else ""


def _ports(chip: Chip) -> dict[str, list[int]]:
    """The numbers of the pins of each port, or behind each word that all pins begin with."""
    found: dict[str, list[int]] = {}
    for key in chip.pins:
        if match := PORT_AND_NUMBER.fullmatch(key):
            found.setdefault(match[1], []).append(int(match[2]))
    return found
