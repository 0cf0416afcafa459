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
from cfgaudit.syntax.read_pin import is_chip_pin
from cfgaudit.tree.names import fold_name

SHORTEST = 3
"""Letters of a name that is compared with others: any two letters are near any two others."""
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
        near = nearest(board, [*names, *([default] if default else [])]) if len(board) >= SHORTEST else None
        if fold_name(board) != default and (near is not None or _is_surely_pin(use)):
            yield _problem(use, board, near)


def _is_surely_pin(use: PinUse) -> bool:
    """Whether a chip's pin stands behind the board's name; what else holds a dot or a colon may be a name."""
    return use.pin.on_chip and not use.pin.key.isdigit()


def _strangers(machine: Machine) -> Iterator[PinUse]:
    for pins in machine.pins.values():
        for uses in pins.values():
            yield from (use for use in uses if not use.known_board and _is_named(use.pin.board))


def _is_named(board: str | None) -> bool:
    """Whether what stands there is a name: no placeholder, no pin, no number (``PA1 @ 25 kHz``)."""
    if board is None or not board.isascii() or board[:1].isdigit():
        return False
    return not is_placeholder(board) and not is_chip_pin(board.upper())


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
