"""pin-board-unknown: pins of boards that the configuration does not describe."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from cfgaudit.checks.finding import Limits, Problem, Severity, Skip, Subject
from cfgaudit.checks.pin_words import spelled, user_title
from cfgaudit.checks.placeholder_text import is_placeholder
from cfgaudit.checks.registry import check
from cfgaudit.machine.model import Machine, PinUse
from cfgaudit.nearest import edit_distance, nearest
from cfgaudit.syntax.document import Place
from cfgaudit.syntax.read_pin import is_chip_pin
from cfgaudit.tree.names import fold_name

SHORTEST = 3
"""Letters of a name that is compared with others: any two letters are near any two others."""
BEFORE_A_PIN = ("board", "probe", "driver")
"""Kinds of parts of which a mistyped name may stand before a pin's separator."""
MOST_EDITS = 2
MOST_SLIPS = 2
"""Uses: who writes a name three times means it."""


@check("pin-board-unknown")
def pin_board_unknown(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A pin whose board is none that the configuration describes.

    A fault only where the name is surely mistyped. Any other name may be that of a board whose section we do
    not understand: one note where no section has it in its name, else silence.
    """
    machine = subject.machine
    uses = _strangers(machine)
    default = _default_name(machine, Counter({board: len(several) for board, several in uses.items()}))
    for folded, several in uses.items():
        board = several[0].pin.board or ""
        near = _nearest(board, machine)
        if folded == default or _is_in_a_name(folded, machine, near):
            continue
        if near is not None and len(several) <= MOST_SLIPS and _letters(board) != _letters(near):
            yield from (_problem(use, board, near) for use in several)
        elif near is not None or any(_is_surely_pin(use) for use in several):
            yield _problem(several[0], board, near, Severity.NOTE)


def _is_in_a_name(folded: str, machine: Machine, near: str | None) -> bool:
    """Whether a section's name holds it, and not only as a piece of the name that it misses."""
    missed = fold_name(near or "")
    keys = (part.section.key for part in machine.parts)
    return any(folded in (key.replace(missed, " ") if missed else key) for key in keys)


def _nearest(board: str, machine: Machine) -> str | None:
    """The most similar name of a part, or of its section, at most two edits away."""
    parts = [part for part in machine.kind(*BEFORE_A_PIN) if part.name]
    near = nearest(board, [name for part in parts for name in (part.name, part.section.name)])
    close = near is not None and edit_distance(fold_name(board), fold_name(near), MOST_EDITS) <= MOST_EDITS
    return near if close and len(board) >= SHORTEST else None


def _letters(name: str) -> str:
    """The letters alone: ``tool1`` and ``tool2`` are two boards."""
    return "".join(letter for letter in name.casefold() if letter.isalpha())


def _is_surely_pin(use: PinUse) -> bool:
    """Whether a chip's pin stands behind the board's name; what else holds a dot or a colon may be a name."""
    return use.pin.on_chip and not use.pin.key.isdigit()


def _strangers(machine: Machine) -> dict[str, list[PinUse]]:
    """The uses of pins whose board is nobody's, each place once, by the board's folded name."""
    found: dict[str, dict[Place, PinUse]] = {}
    for pins in machine.pins.values():
        for uses in pins.values():
            for use in uses:
                if not use.known_board and _is_named(use.pin.board):
                    found.setdefault(fold_name(use.pin.board or ""), {})[use.place] = use
    return {board: list(several.values()) for board, several in found.items()}


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


def _problem(use: PinUse, board: str, near: str | None, severity: Severity | None = None) -> Problem:
    owner = user_title(use)
    return Problem(
        use.place,
        f"{owner}: {use.meaning.setting.name} is {spelled(use.pin, use.meaning.text)}, "
        f"but no board is called {board}",
        subject=f"{owner} {use.meaning.role} {use.meaning.setting.key}",
        advice=f"Did you mean {near}?" if near else None,
        severity=severity,
    )
