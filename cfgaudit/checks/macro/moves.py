"""Where macros send the nozzle, and the mode that they leave behind."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.checks.body import BodyLine, all_lines, body_lines, macro_title
from cfgaudit.checks.finding import Limits, Problem, Skip, Subject
from cfgaudit.checks.follow import Follower, Move
from cfgaudit.checks.modes import MOVES
from cfgaudit.checks.registry import check
from cfgaudit.checks.rule import format_amount
from cfgaudit.checks.travel import Bounds, travel_bounds
from cfgaudit.machine.model import Call, Macro
from cfgaudit.syntax.document import Place


@check("move-outside-travel")
def move_outside_travel(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A move to a place outside the travel, in machine coordinates as far as macros and their callers show.

    Once an axis is outside, relative moves only carry it on: they are told where nothing else was.
    """
    bounds, seen = travel_bounds(subject.machine), set[Place]()
    outside: set[tuple[str, str]] = set()
    for move in Follower().moves(subject.machine.macros) if bounds else ():
        limit = bounds.get(move.word.letter.lower())
        place = move.line.word_place(move.word)
        about = macro_title(move.line.macro), move.word.letter
        if limit is None or limit.beyond(move.target) is None or place in seen:
            continue
        if not move.absolute and about in outside:
            continue
        seen.add(place)
        outside.add(about)
        yield _outside(move, place, limit)


def _outside(move: Move, place: Place, limit: Bounds) -> Problem:
    macro, target = macro_title(move.line.macro), format_amount(move.target, "mm")
    how = "" if move.absolute else f" by {format_amount(move.word.number or 0.0, 'mm')}"
    where = f", called by {macro_title(move.call.macro)}," if move.call is not None else ""
    called = (_call_place(move.call),) if move.call is not None else ()
    return Problem(
        place,
        f"{macro}{where} moves {limit.letter}{how} to {target}, but {limit}",
        subject=f"{macro} {move.word.code}",
        related=(*called, *limit.places()),
    )


def _call_place(line: BodyLine) -> Place:
    assert line.call is not None
    return line.call.place


@check("relative-mode-left")
def relative_mode_left(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A macro that moves relatively and never goes back, so that whoever called it goes on relatively.

    Silent where anything after the last G91 may go back: a call of a command that is none of ours, template
    logic, or a caller that sets its own mode afterwards.
    """
    callers = _callers(subject)
    for macro in subject.machine.macros:
        last = _left_relative(macro)
        if last is None or any(_restores(caller, macro) for caller in callers.get(id(macro), ())):
            continue
        word = next(word for word in reversed(last.line.words) if word.code == "G91")
        yield Problem(
            last.word_place(word),
            f"{macro_title(macro)} ends in relative mode: nothing goes back to G90 after its last G91",
            subject=macro_title(macro),
        )


def _callers(subject: Subject) -> dict[int, list[Macro]]:
    """Macros by what they call, by identity."""
    table: dict[int, list[Macro]] = {}
    for line in all_lines(subject.machine):
        if line.call is not None and line.call.target is not None:
            table.setdefault(id(line.call.target), []).append(line.macro)
    return table


def _left_relative(macro: Macro) -> BodyLine | None:
    """The line of the last G91 if a move follows it and nothing that may change the mode back."""
    last: BodyLine | None = None
    moved = False
    for line in body_lines(macro):
        if _may_go_back(line):
            last = None
        if "G91" in line.codes:
            last, moved = line, False
        moved = moved or bool(MOVES & set(line.codes))
    return last if moved else None


def _may_go_back(line: BodyLine) -> bool:
    if "G90" in line.codes or line.line.opaque or line.line.fault is not None:
        return True
    return line.call is not None and not _keeps_mode(line.call)


def _keeps_mode(call: Call) -> bool:
    """Whether a call surely leaves the mode as it is: a macro of nothing but words that are no modes."""
    if call.target is None or call.target.body is None:
        return False
    lines = list(body_lines(call.target))
    return not any(line.call or line.line.opaque or {"G90", "G91"} & set(line.codes) for line in lines)


def _restores(caller: Macro, macro: Macro) -> bool:
    """Whether a caller sets the mode, or calls what may, after it called the macro."""
    called = False
    for line in body_lines(caller):
        if called and (_may_go_back(line) or "G91" in line.codes):
            return True
        called = called or (line.call is not None and line.call.target is macro)
    return False
