"""Calls of macros that are not there, and macros that never end."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from cfgaudit.checks.body import macro_title
from cfgaudit.checks.finding import Limits, Problem, Skip, Subject
from cfgaudit.checks.limit_value import number
from cfgaudit.checks.registry import check
from cfgaudit.machine.model import Call, Machine, Macro
from cfgaudit.nearest import edit_distance, nearest
from cfgaudit.tree.names import fold_name


@check("macro-call-undefined")
def macro_call_undefined(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A call of something that neither a macro nor the firmware has.

    Without a list of the firmware's commands only a slip of one letter in a macro's name is sure.
    """
    macros = {fold_name(macro.name): macro.name for macro in subject.machine.macros if macro.name}
    calls = [(macro, call) for macro in subject.machine.macros for call in macro.calls if call.target is None]
    known = {one: one for one in subject.firmware_commands}
    known |= {name: call.name for _, call in calls if (name := fold_name(call.name)) in known}
    spellings = {**known, **macros}
    times = Counter(fold_name(call.name) for _, call in calls)
    for macro, call in calls:
        name = fold_name(call.name)
        if name in subject.firmware_commands:
            continue
        if subject.firmware_commands:
            near = nearest(name, spellings)
        elif times[name] > 1 or len(name) < number(limits, "shortest"):
            continue
        else:
            near = next((one for one in macros if _is_slip(name, one) and one != fold_name(macro.name)), None)
        if near is not None or subject.firmware_commands:
            yield Problem(
                call.place,
                f"{macro_title(macro)} calls {call.name}, which is neither a macro nor a known command",
                subject=f"{macro_title(macro)} {call.name}",
                advice=f"Did you mean {spellings[near]}?" if near is not None else None,
            )


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
