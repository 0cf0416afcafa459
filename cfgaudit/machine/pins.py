"""The pin map: board, pin, and every use of it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from cfgaudit.machine.aliases import Aliases
from cfgaudit.machine.boards import Boards
from cfgaudit.machine.model import Meaning, Part, PinUse
from cfgaudit.machine.names import Names
from cfgaudit.machine.parts import distinct_meanings
from cfgaudit.machine.pieces import Piece, split_pieces
from cfgaudit.machine.wording import is_absent, is_option
from cfgaudit.syntax.pin import Pin
from cfgaudit.syntax.read_pin import is_rail, read_pin
from cfgaudit.syntax.value import Boolean, Opaque
from cfgaudit.tree.names import fold_name

SPACED = re.compile(r"\S+")

PinMap = Mapping[str, Mapping[str, tuple[PinUse, ...]]]


class Seat(NamedTuple):
    """Where a pin's prefix leads: the board's key, and who else has the name."""

    board: str
    virtual: Part | None = None
    known: bool = True


class PinReader:
    """Finds every use of a pin by the parts of a machine."""

    def __init__(self, names: Names, boards: Boards, aliases: Aliases) -> None:
        self._names, self._boards, self._aliases = names, boards, aliases

    def pin_map(self) -> PinMap:
        """Board to pin to its users, in the order of the sections."""
        found: dict[str, dict[str, list[PinUse]]] = {}
        for use in self._uses():
            found.setdefault(use.board, {}).setdefault(use.key, []).append(use)
        return {board: {pin: tuple(uses) for pin, uses in pins.items()} for board, pins in found.items()}

    def _uses(self) -> Iterator[PinUse]:
        for part, meaning in distinct_meanings(self._names.parts):
            if meaning.role.startswith("pin.") and part.kind != "alias":
                yield from self._uses_of(part, meaning)

    def _uses_of(self, part: Part, meaning: Meaning) -> Iterator[PinUse]:
        if isinstance(meaning.value, Boolean | Opaque):
            return
        for piece, pin in self._pins_in(meaning):
            yield self._use(part, meaning, pin, _within_setting(meaning, piece))

    def _pins_in(self, meaning: Meaning) -> Iterator[tuple[Piece, Pin]]:
        """The first piece, and each further piece that can only be a pin; rails and options are none."""
        for rank, piece in enumerate(split_pieces(meaning.text)):
            text = piece.text
            if is_rail(text) or is_absent(text) or is_option(text):
                continue
            pin = read_pin(text)
            whole = read_pin(meaning.text) if rank == 0 else None
            if pin is not None and whole is not None and whole.key == pin.key:
                pin = whole  # its words may stand behind a comma
            if pin is not None and (self._is_surely_pin(pin) or (rank == 0 and meaning.fits)):
                yield piece, pin
            elif pin is None:
                yield from self._spaced(piece)

    def _spaced(self, piece: Piece) -> Iterator[tuple[Piece, Pin]]:
        """Pins with nothing but white space between them."""
        words = [Piece(piece.start + match.start(), match.group()) for match in SPACED.finditer(piece.text)]
        for word in words if len(words) > 1 else ():
            pin = read_pin(word.text)
            if pin is not None and self._is_surely_pin(pin) and not is_rail(word.text):
                yield word, pin

    def _is_surely_pin(self, pin: Pin) -> bool:
        named = pin.board is not None and self._boards.find(pin.board) is not None
        return (pin.on_chip and not pin.key.isdigit()) or self._aliases.knows(pin) or named

    def _use(self, part: Part, meaning: Meaning, pin: Pin, piece: Piece | None) -> PinUse:
        seat = self._seat(pin, part)
        if seat.virtual is not None and seat.virtual.kind != "alias":
            return PinUse(seat.board, pin, pin.key, part, meaning, piece, virtual=seat.virtual)
        start = pin if seat.virtual is None else pin._replace(board=None)
        end = self._aliases.follow(start, seat.board)
        if end.via is None:
            return PinUse(seat.board, pin, pin.key, part, meaning, piece, known_board=seat.known)
        return PinUse(end.board, pin, end.pin.key, part, meaning, piece, via=end.via)

    def _seat(self, pin: Pin, part: Part) -> Seat:
        """Without a prefix: the own board, else the main one, unless the pin is another part's name."""
        if pin.board is None:
            offers = None if self._is_surely_pin(pin) else self._names.of_any_kind(pin.name, besides=part)
            if offers is not None and not pin.on_chip:
                return Seat(fold_name(pin.name), virtual=offers)
            return Seat(self._boards.key(self._board_of(part)))
        board = self._boards.find(pin.board)
        if board is not None:
            return Seat(self._boards.key(board))
        other = self._names.of_any_kind(pin.board, besides=part) or self._names.named(pin.board)
        if other is not None and not pin.on_chip:
            return Seat(fold_name(pin.board), virtual=other)
        return Seat(fold_name(pin.board), known=other is not None or not self._boards.parts)

    def _board_of(self, part: Part) -> Part | None:
        if part.kind == "board":
            return part
        stated = next((one for mate in self._mates(part) if (one := mate.get("ref.board"))), None)
        return (self._boards.find(stated.text) if stated is not None else None) or self._boards.main

    def _mates(self, part: Part) -> Sequence[Part]:
        return self._names.index.by_section[id(part.section)]


def _within_setting(meaning: Meaning, piece: Piece) -> Piece | None:
    """A piece of a meaning's text as one of its setting's value; None where it is all of the text."""
    if meaning.start is None or len(piece.text) == len(meaning.text):
        return None
    return Piece(meaning.start + piece.start, piece.text)
