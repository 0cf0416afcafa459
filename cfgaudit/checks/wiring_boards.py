"""pin-board-unknown: pins of boards that the configuration does not describe."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from cfgaudit.checks.finding import Limits, Problem, Skip, Subject
from cfgaudit.checks.pin_words import spelled, user_title
from cfgaudit.checks.placeholder_text import is_placeholder
from cfgaudit.checks.registry import check
from cfgaudit.machine.model import Machine, PinUse
from cfgaudit.nearest import nearest
from cfgaudit.tree.names import fold_name

BEFORE_A_PIN = ("board", "probe", "driver", "motor", "alias")
"""Kinds of parts whose name may stand before a pin's separator."""


@check("pin-board-unknown")
def pin_board_unknown(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A pin whose board is none that the configuration describes."""
    machine = subject.machine
    strangers = list({use.place: use for use in _strangers(machine)}.values())
    default = _default_name(machine, Counter(fold_name(use.pin.board or "") for use in strangers))
    names = [part.name for part in machine.kind(*BEFORE_A_PIN) if part.name]
    for use in strangers:
        board = use.pin.board or ""
        if fold_name(board) != default:
            yield _problem(use, board, nearest(board, [*names, *([default] if default else [])]))


def _strangers(machine: Machine) -> Iterator[PinUse]:
    for pins in machine.pins.values():
        for uses in pins.values():
            yield from (use for use in uses if not use.known_board and _is_named(use.pin.board))


def _is_named(board: str | None) -> bool:
    return board is not None and board.isascii() and not is_placeholder(board)


def _default_name(machine: Machine, strangers: Counter[str]) -> str | None:
    """What the firmware may call the board that has no name here: the word before most of the strange pins.

    Only where there is such a board and no pin stands without a board: one that does is that board's already.
    """
    nameless = any(not part.name for part in machine.kind("board"))
    if not nameless or not strangers or any(_stands_alone(use) for use in _chip_pins(machine)):
        return None
    name, times = strangers.most_common(1)[0]
    return name if times > 1 else None


def _chip_pins(machine: Machine) -> Iterator[PinUse]:
    for pins in machine.pins.values():
        for uses in pins.values():
            yield from (use for use in uses if use.pin.on_chip)


def _stands_alone(use: PinUse) -> bool:
    return use.pin.board is None


def _problem(use: PinUse, board: str, near: str | None) -> Problem:
    owner = user_title(use)
    return Problem(
        use.place,
        f"{owner}: {use.meaning.setting.name} is {spelled(use.pin, use.meaning.text)}, "
        f"but no board is called {board}",
        subject=f"{owner} {use.meaning.role} {use.meaning.setting.key}",
        advice=f"Did you mean {near}?" if near else None,
    )
