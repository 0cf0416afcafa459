"""Macros: their bodies, and who calls whom."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.machine.model import Call, Macro, Meaning, Part
from cfgaudit.machine.names import Names
from cfgaudit.machine.parts import distinct_meanings
from cfgaudit.machine.places import place_of_piece
from cfgaudit.syntax.document import Place
from cfgaudit.syntax.read_macro import read_macro

BODY = "macro.body"


def build_macros(names: Names) -> tuple[Macro, ...]:
    """Every macro part, and every body that a part of another kind holds, in the order of the sections."""
    macros = tuple(_macros(names))
    by_part = {macro.part: macro for macro in macros if macro.name}
    for macro in macros:
        # A macro may call itself, or one that comes later: the calls can only be made when all exist.
        object.__setattr__(macro, "calls", tuple(_calls(macro, names, by_part)))
    return macros


def _macros(names: Names) -> Iterator[Macro]:
    bodies = {id(part): meaning for part, meaning in distinct_meanings(names.parts) if meaning.role == BODY}
    for part in names.parts:
        if part.kind == "macro":
            yield _macro(part.name, part, part.get(BODY))
        elif id(part) in bodies:
            yield _macro("", part, bodies[id(part)])


def _macro(name: str, part: Part, body: Meaning | None) -> Macro:
    return Macro(name, part, body, read_macro(body.text) if body is not None else ())


def _calls(macro: Macro, names: Names, by_part: dict[Part, Macro]) -> Iterator[Call]:
    start = 0
    for line in macro.lines:
        if line.call is not None and macro.body is not None:
            at = start + line.call.column - 1
            place = _place(macro.body, at, at + len(line.call.name))
            called = names.named(line.call.name, ("macro",))
            target = by_part.get(called) if called is not None else None
            yield Call(line.call.name, line.call.arguments, place, target)
        start += len(line.text) + 1


def _place(body: Meaning, start: int, end: int) -> Place:
    """Of a piece of the body, if the body is the setting's whole value."""
    return place_of_piece(body.setting, start, end) if body.text == body.setting.value else body.place
