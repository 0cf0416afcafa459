"""Aliases: names for pins, and the way from a name to the chip's pin."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from cfgaudit.machine.boards import Boards
from cfgaudit.machine.model import Alias, Part
from cfgaudit.machine.pieces import split_pieces
from cfgaudit.machine.places import place_of_piece
from cfgaudit.syntax.document import Place
from cfgaudit.syntax.pin import Pin
from cfgaudit.syntax.read_pin import is_chip_pin, is_rail, read_pin
from cfgaudit.tree.config_tree import Setting
from cfgaudit.tree.names import fold_name

PAIR = re.compile(r"(?P<name>[^\s=:]+)\s*(?:=|:(?=\s))\s*(?P<pin>\S.*)", re.DOTALL)
"""``NAME = PIN`` or ``NAME: PIN``; a colon without white space after it is a board's."""


class Landing(NamedTuple):
    """Where a pin's name leads: the board's key, the chip's pin or last name, and the first alias passed."""

    board: str
    pin: Pin
    via: Alias | None


class Aliases:
    """Follows names to pins. A name counts on its own board first, then on any board."""

    def __init__(self, aliases: Sequence[Alias], boards: Boards) -> None:
        self.all = tuple(aliases)
        self._boards = boards
        self._by_board: dict[tuple[str, str], Alias] = {}
        self._by_name: dict[str, Alias] = {}
        for alias in aliases:
            self._by_name.setdefault(alias.key, alias)
            for board in (alias.board, self._target_board(alias)):
                self._by_board.setdefault((board, alias.key), alias)

    def knows(self, pin: Pin) -> bool:
        return pin.key in self._by_name

    def follow(self, pin: Pin, board: str) -> Landing:
        """The end of the way from a pin on a board, through any number of aliases; a circle ends it."""
        first: Alias | None = None
        passed: set[int] = set()
        while (alias := self._find(pin, board)) is not None and id(alias) not in passed:
            passed.add(id(alias))
            first = first or alias
            board, pin = self._target_board(alias), alias.pin
        return Landing(board, pin, first)

    def _find(self, pin: Pin, board: str) -> Alias | None:
        """Another board's alias counts only for a name that is no chip's pin and names no board."""
        own = self._by_board.get((board, pin.key))
        if own is not None or pin.on_chip or pin.board is not None:
            return own
        return self._by_name.get(pin.key)

    def _target_board(self, alias: Alias) -> str:
        if alias.pin.board is None:
            return alias.board
        found = self._boards.find(alias.pin.board)
        return self._boards.key(found) if found is not None else fold_name(alias.pin.board)


def read_aliases(parts: Sequence[Part], boards: Boards) -> tuple[Alias, ...]:
    """Every ``NAME = PIN`` of every alias section: its settings, or the pairs in their values.

    A setting whose value is neither a chip's pin nor a board's nor another alias is something else.
    """
    pairs = [alias for part in parts if part.kind == "alias" for alias in _aliases_of(part, boards)]
    names = {alias.key for alias in pairs}
    return tuple(one for one in pairs if one.pin.on_chip or one.pin.board is not None or one.pin.key in names)


def alias_key(name: str) -> str:
    """The form in which an alias and its uses are equal: the one that `Pin.key` has."""
    pin = read_pin(name)
    return pin.key if pin is not None and pin.board is None else fold_name(name)


def _aliases_of(part: Part, boards: Boards) -> Iterator[Alias]:
    board = boards.key(_board_of_section(part, boards))
    for setting in part.section.settings:
        for name, text, place in _pairs(setting):
            pin = None if is_rail(text) else read_pin(text)
            if pin is not None:
                yield Alias(name, alias_key(name), board, pin, place, part.section)


def _board_of_section(part: Part, boards: Boards) -> Part | None:
    """The board that the section's label or one of its settings names, else the main one."""
    texts = [part.name] if part.name else []
    texts += [one.value for one in part.section.settings if "\n" not in one.value]
    named = (boards.find(text) for text in texts if boards.parts and not is_chip_pin(text))
    return next((board for board in named if board is not None), boards.main)


def _pairs(setting: Setting) -> Iterator[tuple[str, str, Place]]:
    """Each pair's name and pin, and the place of the name."""
    matches = [(piece.start, PAIR.fullmatch(piece.text)) for piece in split_pieces(setting.value)]
    if not any(match for _, match in matches) and len(matches) == 1:
        yield setting.name, setting.value.strip(), setting.effective.key_place
    for start, match in matches:
        if match is not None:
            yield match["name"], match["pin"], place_of_piece(setting, start, start + len(match["name"]))
