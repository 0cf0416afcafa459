"""Everything that has or uses a name, as text and JSON."""

from __future__ import annotations

from collections.abc import Iterator
from fnmatch import fnmatchcase
from typing import NamedTuple

from cfgaudit.checks.finding import Subject
from cfgaudit.machine.model import Machine
from cfgaudit.report.json_form import Json, place_form
from cfgaudit.report.lines import Line, Piece, breadth, counted, cut, one_line, padded, visible, wrapped
from cfgaudit.syntax.document import Place
from cfgaudit.tree.config_tree import ConfigTree
from cfgaudit.tree.names import fold_name

INDENT = "  "
PLACE = 32
"""Columns; a longer place pushes the rest to the right."""
WHAT = len("reference")
LONGEST = 240
"""Columns of one text; a whole macro is not repeated."""
TEXT = 24
"""Columns that a text needs beside its place; in a narrower window it stands below."""


class Mention(NamedTuple):
    """One place where a name is defined, set or used."""

    what: str
    """``section``, ``setting``, ``shadowed``, ``reference``, ``alias``, ``pin`` or ``call``."""
    text: str
    place: Place


def find_mentions(subject: Subject, name: str) -> tuple[Mention, ...]:
    """Every mention of a section, part, setting (``SECTION:SETTING``, globs allowed), alias, pin or macro.

    They stand in the order of the files as these are read.
    """
    found = dict.fromkeys([*_in_tree(subject.tree, name), *_in_machine(subject.machine, name)])
    order = {path: rank for rank, path in enumerate(subject.tree.documents)}
    return tuple(sorted(found, key=lambda one: (order.get(one.place.file, len(order)), one.place)))


def _in_tree(tree: ConfigTree, name: str) -> Iterator[Mention]:
    section_name, colon, setting_name = name.rpartition(":")
    for section in tree.sections:
        if not colon and _alike(name, section.name):
            for opening in section.openings:
                yield Mention("section", f"[{section.name}]", opening.place)
        for setting in section.settings:
            if not _alike(setting_name, setting.name) or (colon and not _alike(section_name, section.name)):
                continue
            for one in setting.occurrences:
                what = "setting" if one is setting.effective else "shadowed"
                value = " ".join(one.value.split())
                yield Mention(what, f"[{section.name}] {setting.name} = {value}", one.key_place)


def _in_machine(machine: Machine, name: str) -> Iterator[Mention]:
    for part in machine.parts:
        if part.place is not None and (_alike(name, part.name) or _alike(name, part.title)):
            yield Mention("section", f"[{part.section.name}]", part.place)
    for one in machine.references:
        if one.meaning is None:
            continue
        if _alike(name, one.text) or (one.target is not None and _alike(name, one.target.name)):
            text = f"[{one.origin.section.name}] {one.meaning.setting.name} names {one.text}"
            yield Mention("reference", text, one.meaning.place)
    for alias in machine.aliases:
        if _alike(name, alias.name):
            yield Mention("alias", f"{alias.name} is {alias.pin.name}", alias.place)
    yield from _pins(machine, name)
    for macro in machine.macros:
        for call in macro.calls:
            if _alike(name, call.name):
                yield Mention("call", f"macro {macro.name} calls {call.name}", call.place)


def _pins(machine: Machine, name: str) -> Iterator[Mention]:
    for board, pins in machine.pins.items():
        for pin, uses in pins.items():
            for use in uses:
                via = use.via.name if use.via is not None else pin
                if any(_alike(name, one) for one in (pin, via, f"{board}.{pin}", use.meaning.text)):
                    title = use.part.title if use.part is not None else use.meaning.setting.section
                    yield Mention(
                        "pin", f"{title}: {use.meaning.setting.name} = {use.meaning.text}", use.place
                    )


def _alike(pattern: str, name: str) -> bool:
    if not name:
        return False
    return fold_name(pattern) == fold_name(name) or fnmatchcase(name.casefold(), pattern.casefold())


def where_form(name: str, mentions: tuple[Mention, ...]) -> Json:
    """The report of ``where``."""
    return {
        "name": name,
        "mentions": [
            {"what": one.what, "text": one.text, "where": place_form(one.place)} for one in mentions
        ],
    }


def where_lines(name: str, mentions: tuple[Mention, ...], width: int) -> Iterator[Line]:
    """The mentions in the order of the files, a line each where the window is wide enough."""
    places = [visible(f"{one.place.file}:{one.place.line}") for one in mentions]
    longest = max((breadth(place) for place in places if breadth(place) <= PLACE), default=0)
    for place, one in zip(places, mentions, strict=True):
        opening = f"{padded(place, longest)}  {one.what:<{WHAT}}  "
        style = "faint" if one.what == "shadowed" else ""
        text = cut(one_line(one.text), LONGEST)
        if breadth(opening) + TEXT <= width:
            yield from wrapped(text, width, breadth(opening), style, (Piece(opening, style),))
        else:
            yield from wrapped(f"{place}  {one.what}", width, INDENT, style, first="")
            yield from wrapped(text, width, 2 * INDENT, style)
    yield from wrapped(f"{counted(len(mentions), 'mention')} of {one_line(name)}.", width, 0)
