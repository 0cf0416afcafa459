"""The interpreter's state that decides where a move leads, as far as a macro's text shows it."""

from __future__ import annotations

from typing import NamedTuple

from cfgaudit.checks.body import BodyLine, body_lines
from cfgaudit.machine.model import Macro

SHIFTING = frozenset({"G10", "G16", "G20", "G43", "G51", "G52", "G68"}) | {
    *(f"G{number}" for number in range(54, 60)),
    *(f"G59.{number}" for number in (1, 2, 3)),
    *(f"G92.{number}" for number in (1, 2, 3)),
}
"""Offsets of work and tool, inches, polar, scaled or turned coordinates: a number says no place then."""

EVERY = frozenset("XYZABCUVW")


class State(NamedTuple):
    """``absolute`` is None where it is unknown; ``shifted`` are the axes whose numbers say no place."""

    absolute: bool | None = None
    shifted: frozenset[str] = frozenset()

    def knows(self, letter: str) -> bool:
        """Whether a word with this letter says a place of the machine."""
        return self.absolute is True and letter not in self.shifted


UNKNOWN = State(None, EVERY)


class Follower:
    """Follows bodies line by line, calls of macros included; each body once for each state it is met in."""

    def __init__(self) -> None:
        self._ends: dict[tuple[int, State], State] = {}
        self._relative: dict[int, bool] = {}

    def after(self, state: State, line: BodyLine) -> State:
        """The state after a line's modes have changed and before it moves.

        Template logic may skip lines or repeat them: where the macro also goes relative, nobody knows the
        mode then.
        """
        if line.line.opaque or line.line.fault is not None:
            return state._replace(absolute=None) if self._goes_relative(line.macro) else state
        if line.call is not None:
            return state if line.call.target is None else self._after_call(state, line.call.target)
        for code in line.codes:
            state = _after_code(state, code, line)
        return state

    def _after_call(self, state: State, macro: Macro) -> State:
        key = (id(macro), state)
        if key not in self._ends:
            self._ends[key] = UNKNOWN  # what a circle of calls comes back to
            end = state
            for line in body_lines(macro):
                end = self.after(end, line)
            self._ends[key] = end
        return self._ends[key]

    def _goes_relative(self, macro: Macro) -> bool:
        """Whether G91 stands anywhere in the macro, in its template logic too."""
        if id(macro) not in self._relative:
            self._relative[id(macro)] = any(
                "G91" in line.codes or (line.line.opaque and "G91" in line.line.text)
                for line in body_lines(macro)
            )
        return self._relative[id(macro)]


def _after_code(state: State, code: str, line: BodyLine) -> State:
    if code in ("G90", "G91"):
        return state._replace(absolute=code == "G90")
    if code in SHIFTING or code.startswith("T"):
        return state._replace(shifted=EVERY)
    if code == "G92":
        letters = frozenset(word.letter for word in line.line.words)
        return state._replace(
            shifted=state.shifted | (letters & EVERY if len(letters - {"G", "N"}) else EVERY)
        )
    return state
