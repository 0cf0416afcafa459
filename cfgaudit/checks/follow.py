"""Macros followed from line to line and from call to call: every move whose end the text shows."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from cfgaudit.checks.body import BodyLine, body_lines
from cfgaudit.checks.modes import EVERY, MOVES, UNKNOWN, State, after_modes, after_move
from cfgaudit.machine.model import Macro
from cfgaudit.syntax.gcode import Word

DEEPEST = 60
"""Calls within calls that are followed; nobody nests deeper."""
MOST_PLACES = 8
"""How often a macro is followed from different places; then only the modes that it is called in count."""


class Move(NamedTuple):
    """A word of a move with the place that it leads to, in mm of the machine.

    ``call`` is the line that called the macro, where only the caller's state says so.
    """

    line: BodyLine
    word: Word
    target: float
    absolute: bool
    call: BodyLine | None = None


class Follower:
    """Follows bodies, calls of macros included; each body once for each state it is met in.

    One body from its first line to its last, as if every branch were taken. A macro that nothing calls here
    begins in an unknown mode, since it can be called from anywhere.
    """

    def __init__(self) -> None:
        self._ends: dict[tuple[int, State], State] = {}
        self._starts: dict[int, int] = {}
        self._relative: dict[int, bool] = {}
        self._found: list[Move] = []

    def moves(self, macros: Iterable[Macro]) -> Iterator[Move]:
        """The moves of each macro by itself, then those that a caller's state explains."""
        for macro in macros:
            self._follow(macro, State(), None, 0)
        yield from (move for move in self._found if move.call is None)
        yield from (move for move in self._found if move.call is not None)

    def _follow(self, macro: Macro, state: State, call: BodyLine | None, depth: int) -> State:
        """The state after a macro that is begun in ``state``."""
        if depth > DEEPEST:
            return UNKNOWN
        state = self._bounded(macro, state)
        call = call if state != State() else None
        key = (id(macro), state)
        if key not in self._ends:
            self._ends[key] = UNKNOWN  # what a circle of calls comes back to
            end = state
            for line in body_lines(macro):
                end = self._after(end, line, call, depth)
            self._ends[key] = end
        return self._ends[key]

    def _bounded(self, macro: Macro, state: State) -> State:
        """The state, without its places where the macro has been begun at many: there may be no end of it."""
        if not state.at or (id(macro), state) in self._ends:
            return state
        count = self._starts[id(macro)] = self._starts.get(id(macro), 0) + 1
        return state if count <= MOST_PLACES else state.lost()

    def _after(self, state: State, line: BodyLine, call: BodyLine | None, depth: int) -> State:
        """The state after a line.

        Template logic may skip lines or repeat them, so nobody knows the places then; where the macro also
        goes relative, not the mode either. A command of the firmware's may move anything, but keeps the mode.
        """
        if line.line.opaque or line.line.fault is not None:
            state = state.lost()
            return state._replace(absolute=None) if self._goes_relative(line.macro) else state
        if line.call is not None:
            target = line.call.target
            return state.lost() if target is None else self._follow(target, state, line, depth + 1)
        state = after_modes(state, line)
        if MOVES & set(line.codes) and "G53" not in line.codes:
            self._note(state, line, call)
        return after_move(state, line)

    def _note(self, state: State, line: BodyLine, call: BodyLine | None) -> None:
        for word in line.line.words:
            target = state.target(word) if word.letter in EVERY else None
            if target is not None:
                self._found.append(Move(line, word, target, state.absolute is True, call))

    def _goes_relative(self, macro: Macro) -> bool:
        """Whether G91 stands anywhere in the macro, in its template logic too."""
        if id(macro) not in self._relative:
            self._relative[id(macro)] = any(
                "G91" in line.codes or (line.line.opaque and "G91" in line.line.text)
                for line in body_lines(macro)
            )
        return self._relative[id(macro)]
