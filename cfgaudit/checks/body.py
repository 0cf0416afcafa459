"""The lines of a macro's body with their places and their calls."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from cfgaudit.machine.model import Call, Machine, Macro
from cfgaudit.machine.places import place_of_piece
from cfgaudit.syntax.document import Place
from cfgaudit.syntax.gcode import Line, Word


class BodyLine(NamedTuple):
    """One line of a body; ``start`` is its offset in the body's text, ``call`` what it calls."""

    macro: Macro
    line: Line
    start: int
    call: Call | None

    @property
    def codes(self) -> tuple[str, ...]:
        """The codes that command something, in order: ``G1``, ``M104``, ``T0``."""
        return self.line.codes

    def place(self, column: int, length: int) -> Place:
        """The place of a stretch of the line; ``column`` is 1-based."""
        assert self.macro.body is not None
        at = self.start + column - 1
        return place_of_piece(self.macro.body.setting, at, at + length)

    def word_place(self, word: Word) -> Place:
        return self.place(word.column, len(word.text))


def body_lines(macro: Macro) -> Iterator[BodyLine]:
    """The lines of a macro that has a body, in order."""
    calls, start = iter(macro.calls), 0
    for line in macro.lines if macro.body is not None else ():
        assert isinstance(line, Line)
        yield BodyLine(macro, line, start, next(calls, None) if line.call is not None else None)
        start += len(line.text) + 1


def all_lines(machine: Machine) -> Iterator[BodyLine]:
    """The lines of every body of the machine."""
    for macro in machine.macros:
        yield from body_lines(macro)


def macro_title(macro: Macro) -> str:
    """For messages: ``macro park``, or the part that holds the body."""
    return f"macro {macro.name}" if macro.name else macro.part.title
