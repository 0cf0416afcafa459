"""Which chip each board has, as far as anything names it."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from typing import TYPE_CHECKING, NamedTuple

from cfgaudit.machine.boards import MAIN_WORDS, Boards
from cfgaudit.syntax.value import Opaque
from cfgaudit.tree.names import fold_name

if TYPE_CHECKING:
    from cfgaudit.machine.chips.chip import Chip, ChipLibrary, Unknown
    from cfgaudit.machine.model import Meaning, Part


class BoardChip(NamedTuple):
    """The chip of one board, or why nothing is known of it."""

    board: str
    """The board's key in the pin map."""
    title: str
    """For messages: ``board main``."""
    chip: Chip | Unknown
    part: Part | None = None
    stated: Meaning | None = None
    """The setting that names the chip; None where ``cfgaudit.toml`` does."""

    @property
    def known(self) -> Chip | None:
        """The chip, where there is a table of it."""
        from cfgaudit.machine.chips.chip import Chip

        return self.chip if isinstance(self.chip, Chip) else None


def read_board_chips(
    boards: Boards, used: Collection[str], library: ChipLibrary | None, named: Mapping[str, str]
) -> Mapping[str, BoardChip]:
    """The chip of every board that ``cfgaudit.toml``, the board's section or the path to it names.

    ``used`` are the keys of boards that have pins; ``named`` is what ``cfgaudit.toml`` says, by board. Where
    nothing names a chip, nothing of the tables is imported.
    """
    found = {one.board: one for one in _of_project(boards, used, library, named)}
    for board in boards.parts:
        if boards.key(board) not in found and (one := _of_section(boards.key(board), board, library)):
            found[one.board] = one
    return found


def _of_project(
    boards: Boards, used: Collection[str], library: ChipLibrary | None, named: Mapping[str, str]
) -> Iterator[BoardChip]:
    for text, name in named.items():
        part = boards.find(text)
        key = boards.key(part) if part is not None else fold_name(text)
        if part is None and not boards.parts and key in MAIN_WORDS:
            key = ""
        title = part.title if part is not None else f"board {text}"
        known = part is not None or key in used
        yield BoardChip(key, title, _find(library, name) if known else _stray(text, name), part)


def _of_section(key: str, board: Part, library: ChipLibrary | None) -> BoardChip | None:
    """What the first text says of which there is a table, else what the first text says."""
    first: BoardChip | None = None
    for meaning, name in _names(board):
        one = BoardChip(key, board.title, _find(library, name), board, meaning)
        if one.known is not None:
            return one
        first = first or one
    return first


def _names(board: Part) -> Iterator[tuple[Meaning, str]]:
    """The chip's names in the board's section, then those in the path by which it is reached."""
    for meaning in board.all("board.chip"):
        if not isinstance(meaning.value, Opaque) and (text := meaning.text.strip().strip("\"'")):
            yield from ((meaning, name) for name in _part_numbers(text) or (text,))
    for meaning in board.all("board.link"):
        if meaning.text.strip("\"' ").startswith("/"):
            yield from ((meaning, name) for name in _part_numbers(meaning.text))


def _part_numbers(text: str) -> tuple[str, ...]:
    from cfgaudit.machine.chips.part_numbers import part_numbers

    return part_numbers(text)


def _find(library: ChipLibrary | None, name: str) -> Chip | Unknown:
    from cfgaudit.machine.chips.chip import NO_TABLE, Unknown

    return Unknown(name, NO_TABLE) if library is None else library.find(name)


def _stray(board: str, name: str) -> Unknown:
    from cfgaudit.machine.chips.chip import Unknown

    return Unknown(name, f"cfgaudit.toml names the chip of a board {board}, and there is none")
