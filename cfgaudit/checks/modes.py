"""The interpreter's state that decides where a move leads, as far as a macro's text shows it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from cfgaudit.checks.body import BodyLine
from cfgaudit.syntax.gcode import Word

SHIFTING = frozenset({"G10", "G16", "G20", "G43", "G51", "G52", "G68"}) | {
    *(f"G{number}" for number in range(54, 60)),
    *(f"G59.{number}" for number in (1, 2, 3)),
    *(f"G92.{number}" for number in (1, 2, 3)),
}
"""Offsets of work and tool, inches, polar, scaled or turned coordinates: a number says no place then."""

EVERY = frozenset("XYZABCUVW")

MOVES = frozenset({"G0", "G1"})
STILL = frozenset({"G4", "G17", "G18", "G19", "G21", "G61", "G64", "G90", "G91", "G92", "G93", "G94"})
"""Codes of NISTIR 6556 that move no axis. Any other one, and any M code, may take the nozzle elsewhere."""
ENDING = MOVES | {"G2", "G3"}
"""Moves that end where their words say."""

Places = tuple[tuple[str, float], ...]


class State(NamedTuple):
    """``absolute`` is None where it is unknown; ``shifted`` are the axes whose numbers say no place.

    ``at`` are the axes whose place is known, in mm, sorted by letter.
    """

    absolute: bool | None = None
    shifted: frozenset[str] = frozenset()
    at: Places = ()

    def target(self, word: Word) -> float | None:
        """Where a word of a move leads its axis, in mm of the machine; None where nobody can tell."""
        if word.number is None or word.letter in self.shifted or self.absolute is None:
            return None
        if self.absolute:
            return word.number
        start = dict(self.at).get(word.letter)
        return None if start is None else start + word.number

    def lost(self, letters: Iterable[str] = EVERY) -> State:
        """The state when nobody knows any more where these axes are."""
        gone = frozenset(letters)
        return self._replace(at=tuple(pair for pair in self.at if pair[0] not in gone)) if self.at else self

    def moved(self, places: dict[str, float | None]) -> State:
        """The state with these axes at these places; None is nobody knows where."""
        merged = {**dict(self.at), **places}
        return self._replace(at=tuple(sorted((one, to) for one, to in merged.items() if to is not None)))


UNKNOWN = State(None, EVERY)


def after_modes(state: State, line: BodyLine) -> State:
    """The state when a line's modes have changed and before it moves."""
    for code in line.codes:
        state = _after_code(state, code, line)
    return state


def after_move(state: State, line: BodyLine) -> State:
    """The state when a line has moved what it moves; ``state`` is that after its modes.

    Words without a code repeat the last move, whatever that was.
    """
    codes = [code for code in line.codes if code not in STILL]
    words = [word for word in line.line.words if word.letter in EVERY]
    if not codes:
        return state if set(line.codes) & STILL else state.lost(word.letter for word in words)
    if not all(code in ENDING for code in codes):
        return state.lost()
    return state.moved({word.letter: state.target(word) for word in words})


def _after_code(state: State, code: str, line: BodyLine) -> State:
    if code in ("G90", "G91"):
        return state._replace(absolute=code == "G90")
    if code in SHIFTING or code.startswith("T"):
        return state._replace(shifted=EVERY).lost()
    if code == "G92":
        letters = frozenset(word.letter for word in line.line.words)
        shifted = letters & EVERY if len(letters - {"G", "N"}) else EVERY
        return state._replace(shifted=state.shifted | shifted).lost(shifted)
    return state
