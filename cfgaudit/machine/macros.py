"""Macros: their bodies, and who calls whom."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

from cfgaudit.machine.model import Call, Macro, Meaning, Part
from cfgaudit.machine.names import Names
from cfgaudit.machine.parts import distinct_meanings
from cfgaudit.machine.places import place_of_piece
from cfgaudit.syntax.document import Place
from cfgaudit.syntax.read_macro import read_macro
from cfgaudit.tree.names import fold_name

BODY = "macro.body"
WORD = re.compile(r"[^\s.:/]+")
"""A word of a section's name; ``_`` and ``-`` join the words of a macro's own."""


def build_macros(names: Names) -> tuple[Macro, ...]:
    """Every macro part, and every body that a part of another kind holds, in the order of the sections."""
    macros = tuple(_macros(names))
    by_part = {macro.part: macro for macro in macros if macro.name}
    by_name = {fold_name(macro.name): macro for macro in reversed(macros) if macro.name}
    for macro in macros:
        # A macro may call itself, or one that comes later: the calls can only be made when all exist.
        object.__setattr__(macro, "calls", tuple(_calls(macro, names, by_part, by_name)))
    return macros


def _macros(names: Names) -> Iterator[Macro]:
    bodies: dict[int, list[Meaning]] = {}
    for part, meaning in distinct_meanings(names.parts):
        if meaning.role == BODY:
            bodies.setdefault(id(part), []).append(meaning)
    with_body = [part for part in names.parts if part.kind == "macro" or id(part) in bodies]
    short = _short_names([part for part in with_body if part.name == part.section.name])
    for part in with_body:
        name = short.get(id(part), part.name if part.kind == "macro" else "")
        yield _macro(name, part, bodies.get(id(part)) or list(part.all(BODY)))


def _short_names(parts: Sequence[Part]) -> dict[int, str]:
    """What is left of section names that begin with the same words: these say what the sections are.

    ``[gc.start]`` and ``[gc.wipe]`` hold the macros ``start`` and ``wipe``. By the identity of the part.
    """
    words = {id(part): [match.group().casefold() for match in WORD.finditer(part.name)] for part in parts}
    begins = Counter(tuple(one[:count]) for one in words.values() for count in range(1, len(one)))
    found = {}
    for part in parts:
        own = words[id(part)]
        shared = next((at for at in range(len(own) - 1, 0, -1) if begins[tuple(own[:at])] > 1), 0)
        if shared:
            found[id(part)] = part.name[list(WORD.finditer(part.name))[shared].start() :]
    return found


def _macro(name: str, part: Part, bodies: Sequence[Meaning]) -> Macro:
    """With the first of the bodies that holds words of G-code, else the first: another may describe it."""
    read = [(body, read_macro(body.text)) for body in bodies]
    coded = (one for one in read if any(line.words for line in one[1]))
    body, lines = next(coded, None) or next(iter(read), (None, ()))
    return Macro(name, part, body, lines)


def _calls(
    macro: Macro, names: Names, by_part: Mapping[Part, Macro], by_name: Mapping[str, Macro]
) -> Iterator[Call]:
    start = 0
    for line in macro.lines:
        if line.call is not None and macro.body is not None:
            at = start + line.call.column - 1
            place = _place(macro.body, at, at + len(line.call.name))
            called = names.named(line.call.name, ("macro",))
            target = by_part.get(called) if called is not None else by_name.get(fold_name(line.call.name))
            yield Call(line.call.name, line.call.arguments, place, target)
        start += len(line.text) + 1


def _place(body: Meaning, start: int, end: int) -> Place:
    """Of a piece of the body, if the body is the setting's whole value."""
    return place_of_piece(body.setting, start, end) if body.text == body.setting.value else body.place
