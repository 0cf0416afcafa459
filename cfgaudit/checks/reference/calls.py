"""Calls of macros that are not there, and macros that never end."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Sequence

from cfgaudit.checks.body import all_lines, macro_title
from cfgaudit.checks.called_names import MOST_STRAY, Called, called_names, is_lead
from cfgaudit.checks.finding import Limits, Problem, Skip, Subject
from cfgaudit.checks.limit_value import number
from cfgaudit.checks.one_edit import Neighbours
from cfgaudit.checks.registry import check
from cfgaudit.machine.model import Call, Machine, Macro
from cfgaudit.machine.pieces import split_words
from cfgaudit.nearest import edit_distance, nearest
from cfgaudit.syntax.document import Place
from cfgaudit.tree.names import fold_name
from cfgaudit.vocabulary.names import Lexicon
from cfgaudit.vocabulary.words import load_words

SHORTEST_PROVEN = 3
"""Letters of a name behind a word that stands before a macro's name elsewhere."""
LONG = 8
"""Letters of a name that is no common word."""


@check("macro-call-undefined")
def macro_call_undefined(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A call of something that neither a macro nor the firmware has.

    Without a list of the firmware's commands only a slip of one letter in a macro's name is sure.
    """
    slips = {slip.place: (slip, near) for slip, near in _slips(subject, number(limits, "shortest"))}
    told = set[Place]()
    if subject.firmware_commands:
        for problem in _unlisted(subject):
            told.add(problem.place)
            yield problem
    for slip, near in slips.values():
        if slip.place not in told:
            yield _undefined(slip.line.macro, slip.name, slip.place, near)


def _unlisted(subject: Subject) -> Iterator[Problem]:
    """Calls of what is neither a macro nor on the list of the firmware's commands."""
    macros = {fold_name(macro.name): macro.name for macro in subject.machine.macros if macro.name}
    calls = [(macro, call) for macro in subject.machine.macros for call in macro.calls if call.target is None]
    known = {one: one for one in subject.firmware_commands}
    known |= {name: call.name for _, call in calls if (name := fold_name(call.name)) in known}
    spellings = {**known, **macros}
    for macro, call in calls:
        if fold_name(call.name) not in subject.firmware_commands:
            near = nearest(fold_name(call.name), spellings)
            yield _undefined(macro, call.name, call.place, spellings[near] if near is not None else None)


def _undefined(macro: Macro, name: str, place: Place, near: str | None) -> Problem:
    return Problem(
        place,
        f"{macro_title(macro)} calls {name}, which is neither a macro nor a known command",
        subject=f"{macro_title(macro)} {name}",
        advice=f"Did you mean {near}?" if near is not None else None,
    )


def _slips(subject: Subject, shortest: float) -> Iterator[tuple[Called, str]]:
    """What misses a macro's name by one letter, with that name.

    What is called more than once is a command of the firmware.
    """
    lexicon = (subject.words or load_words()).lexicon
    names = _names_of_macros(subject.machine)
    lines = [called_names(line, lexicon) for line in all_lines(subject.machine)]
    right = [one for line in lines for one in line if _is_right(one, names, subject.firmware_commands)]
    proven = {one.lead for one in right if one.lead and one.key in names}
    neighbours, order = Neighbours(names), {name: at for at, name in enumerate(names)}
    times = Counter(key for line in lines for key in {one.key for one in line})
    settled = {id(one.line) for one in right}
    for one in (one for line in lines for one in line):
        least = SHORTEST_PROVEN if one.lead in proven else shortest
        if id(one.line) in settled or times[one.key] > 1 or not _may_slip(one, lexicon, proven, least):
            continue
        own = {fold_name(one.line.macro.name), one.line.macro.part.section.key}
        near = min(
            (name for name in neighbours.around(one.key) if name not in own and _is_slip(one.key, name)),
            key=order.__getitem__,
            default=None,
        )
        if near is not None:
            settled.add(id(one.line))
            yield one, names[near]


def _is_right(one: Called, names: Collection[str], commands: Collection[str]) -> bool:
    call = one.line.call
    return one.key in names or one.key in commands or (call is not None and call.target is not None)


def _names_of_macros(machine: Machine) -> dict[str, str]:
    """What macros answer to, folded: their names and their sections' whole names, with the spelling."""
    macros = [macro for macro in machine.macros if macro.name]
    whole = {macro.part.section.key: macro.part.section.name for macro in macros}
    return {**whole, **{fold_name(macro.name): macro.name for macro in macros}}


def _may_slip(one: Called, lexicon: Lexicon, proven: Collection[str], least: float) -> bool:
    """Whether a name is long enough to be judged, and what stands around it leaves it a call."""
    if len(one.key) < least or one.stray > MOST_STRAY:
        return False
    if one.lead:
        return one.lead in proven or is_lead(one, lexicon)
    return not one.stray or len(one.key) >= LONG or len(split_words(one.name)) > 1


def _is_slip(name: str, other: str) -> bool:
    """One letter missing, added, wrong or swapped; a digit or a final s makes another name on purpose."""
    letters = ["".join(one for one in text if one.isalpha()).removesuffix("s") for text in (name, other)]
    return letters[0] != letters[1] and edit_distance(name, other, 1) == 1


@check("macro-calls-itself")
def macro_calls_itself(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A macro that calls itself, or comes back to itself through others.

    A firmware's own command of the same name may be what is meant, if the list of commands has it.
    """
    told: set[int] = set()
    for macro, way in _circles(subject.machine):
        call = way[0]
        if id(macro) in told or (len(way) == 1 and fold_name(call.name) in subject.firmware_commands):
            continue
        told |= {id(one.target) for one in way}
        through = ", ".join(one.name for one in way[:-1])
        yield Problem(
            call.place,
            f"{macro_title(macro)} calls itself" + (f" through {through}" if through else ""),
            subject=macro_title(macro),
            related=tuple(one.place for one in way[1:]),
        )


def _circles(machine: Machine) -> Iterator[tuple[Macro, Sequence[Call]]]:
    """For each macro on a circle the shortest way of calls from it back to it."""
    live = _without_ends(machine)
    for macro in machine.macros:
        if id(macro) in live:
            way = _way_back(macro, live)
            if way:
                yield macro, way


def _without_ends(machine: Machine) -> set[int]:
    """The macros left when those that call none of the others left are taken away, again and again."""
    live = {id(macro) for macro in machine.macros}
    callers: dict[int, list[Macro]] = {}
    open_calls: Counter[int] = Counter()
    for macro in machine.macros:
        for target in {id(call.target): call.target for call in macro.calls if call.target is not None}:
            callers.setdefault(target, []).append(macro)
            open_calls[id(macro)] += 1
    ends = [id(macro) for macro in machine.macros if not open_calls[id(macro)]]
    while ends:
        end = ends.pop()
        live.discard(end)
        for caller in callers.get(end, ()):
            open_calls[id(caller)] -= 1
            if not open_calls[id(caller)]:
                ends.append(id(caller))
    return live


def _way_back(start: Macro, live: set[int]) -> Sequence[Call]:
    """The shortest way of calls from a macro to itself; empty if there is none."""
    ways: list[list[Call]] = [[]]
    reached: set[int] = set()
    for way in ways:
        macro = way[-1].target if way else start
        for call in macro.calls if macro is not None else ():
            if call.target is start:
                return [*way, call]
            if call.target is not None and id(call.target) in live and id(call.target) not in reached:
                reached.add(id(call.target))
                ways.append([*way, call])
    return []
