"""Macro bodies: lines of G-code, calls of named macros, placeholders. Read by ``grammar/gcode.lark``."""

from __future__ import annotations

from typing import Literal, NamedTuple

FaultKind = Literal["number", "missing", "junk", "comment", "glued", "unbalanced"]


class Word(NamedTuple):
    """A letter and its number, as in RS-274/NGC: ``X10.5``.

    ``number`` is None for a bare letter (``G28 X``) and where a placeholder, a parameter or an expression
    gives it (``X{home}``, ``X#3``, ``X[1+2]``; ``placeholder`` is True then). A placeholder that stands by
    itself among words is a word without a letter. ``column`` is 1-based in the line.
    """

    letter: str
    """In capitals."""
    number: float | None
    text: str
    placeholder: bool
    column: int

    @property
    def code(self) -> str:
        """The word in its shortest spelling: ``G1`` for ``g01``, ``G38.2``; without a number the letter."""
        return self.letter if self.number is None else f"{self.letter}{self.number:.10g}"


class CallText(NamedTuple):
    """A call of a named macro, or of a command that the firmware itself knows; they look the same.

    ``arguments`` are key and value; a letter with its number is ``("X", "10")``, what stands alone has an
    empty key. ``column`` is that of the name, 1-based.
    """

    name: str
    arguments: tuple[tuple[str, str], ...]
    column: int


class Fault(NamedTuple):
    """What breaks a line's form, and where: ``column`` is 1-based, ``text`` the offending piece.

    ``number``: no real number after a letter (``X10.5.3``, ``X--5``); ``missing``: a letter of a move
    without its number; ``junk``: something in a move that is no word; ``comment``: a parenthesis that
    nothing closes; ``glued``: a letter after G without a number between (``GX10``; the line is a call as
    well, in case a macro has that name); ``unbalanced``: a placeholder that nothing closes or opened.
    """

    kind: FaultKind
    column: int
    text: str


class Line(NamedTuple):
    """One line of a body. ``number`` is its 1-based line in the body.

    ``opaque``: template logic, or text in a language that we do not know; nothing may be said of it.
    ``comments`` are without their marks.
    """

    number: int
    text: str
    words: tuple[Word, ...] = ()
    call: CallText | None = None
    comments: tuple[str, ...] = ()
    opaque: bool = False
    fault: Fault | None = None

    def word(self, letter: str) -> Word | None:
        """The first word with a letter."""
        return next((word for word in self.words if word.letter == letter), None)

    @property
    def codes(self) -> tuple[str, ...]:
        """The codes of the G, M and T words with a number, in order."""
        return tuple(word.code for word in self.words if word.letter in "GMT" and word.number is not None)
