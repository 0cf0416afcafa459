"""The boards by what texts call them."""

from __future__ import annotations

from cfgaudit.machine.model import Part
from cfgaudit.machine.names import Names
from cfgaudit.tree.names import fold_name

MAIN_WORDS = frozenset({"main", "mainboard", "primary", "master", "motherboard"})


class Boards:
    """``main`` is the board that a pin without a board's name is on: the one without a name, else the one
    that is called main, else the first; None where no section describes a board."""

    def __init__(self, names: Names) -> None:
        self._names = names
        self.parts = tuple(part for part in names.parts if part.kind == "board")
        self.main = self._main()

    def find(self, text: str) -> Part | None:
        """The board that a text means; a nameless board answers to ``main``."""
        found = self._names.of_kind(text, "board")
        if found is None and self.main is not None and not self.main.name and fold_name(text) in MAIN_WORDS:
            return self.main
        return found

    def key(self, board: Part | None) -> str:
        """The board's name as the pin map has it."""
        return fold_name(board.name) if board is not None else ""

    def _main(self) -> Part | None:
        nameless = (part for part in self.parts if not part.name)
        called = (part for part in self.parts if fold_name(part.name) in MAIN_WORDS)
        return next(nameless, None) or next(called, None) or next(iter(self.parts), None)
