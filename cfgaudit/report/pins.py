"""The pin map as text and JSON."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from cfgaudit.machine.model import Machine, Part, PinUse
from cfgaudit.report.json_form import Json, place_form
from cfgaudit.report.lines import BLANK, Line, Piece, breadth, counted, line, padded, visible, wrapped
from cfgaudit.tree.names import fold_name

INDENT = "  "
NUMBER = re.compile(r"(\d+)")
GAP = "  "
PLACE = 24
"""Columns kept for the place beside its user."""
WORDS = {"data_in": "data in", "data_out": "data out", "tach": "tachometer", "uart": "serial"}
"""Roles whose short name is no word."""


class PinList(NamedTuple):
    """The pins of one board, or those that a part offers (a probe as a switch)."""

    board: str
    """Its name as its section has it; empty for the one board that has none, and for a part."""
    part: Part | None
    pins: Mapping[str, Sequence[PinUse]]
    """By the pin as it is written, an alias followed to what it stands for, sorted as a person counts."""

    @property
    def title(self) -> str:
        if self.part is not None:
            return self.part.title
        return f"board {self.board}" if self.board else "the board"


def pin_lists(machine: Machine) -> list[PinList]:
    """The boards, then the parts that offer pins."""
    written = {alias.pin.key: alias.pin.name for alias in machine.aliases}
    boards = {fold_name(part.name): part.name for part in machine.kind("board")}
    found: dict[tuple[str, Part | None], dict[str, list[PinUse]]] = {}
    for board, pins in machine.pins.items():
        for key, uses in pins.items():
            for use in uses:
                owner = ("" if use.virtual else boards.get(board, board), use.virtual)
                found.setdefault(owner, {}).setdefault(_shown(key, uses, written), []).append(use)
    lists = [PinList(*owner, _sorted(pins)) for owner, pins in found.items()]
    return sorted(lists, key=lambda one: one.part is not None)


def _shown(key: str, uses: Sequence[PinUse], written: Mapping[str, str]) -> str:
    """A pin as it is written where it is used, else where its alias is."""
    direct = next((use.pin.name for use in uses if use.via is None), None)
    return direct or written.get(key, key)


def _sorted(pins: Mapping[str, Sequence[PinUse]]) -> dict[str, Sequence[PinUse]]:
    """Pins as a person counts them: PA2 before PA10."""

    def order(pin: str) -> list[tuple[int, str]]:
        return [(int(bit), "") if bit.isdigit() else (-1, bit) for bit in NUMBER.split(pin)]

    return {pin: pins[pin] for pin in sorted(pins, key=order)}


def pins_form(machine: Machine) -> Json:
    """The report of ``pins``: boards, their pins, and every user of each; apart, what parts offer."""
    lists = pin_lists(machine)
    return {
        "boards": {one.board: _pins_form(one.pins) for one in lists if one.part is None},
        "virtual": {one.title: _pins_form(one.pins) for one in lists if one.part is not None},
    }


def _pins_form(pins: Mapping[str, Sequence[PinUse]]) -> Json:
    return {pin: [_use_form(use) for use in uses] for pin, uses in pins.items()}


def _use_form(use: PinUse) -> Json:
    return {
        "part": None if use.part is None else [use.part.kind, use.part.name],
        "role": use.meaning.role,
        "section": use.meaning.setting.section,
        "setting": use.meaning.setting.name,
        "value": use.meaning.text,
        "alias": None if use.via is None else use.via.name,
        "where": place_form(use.place),
    }


def pins_lines(machine: Machine, width: int) -> Iterator[Line]:
    """Board by board the pins with their users; then the parts that others use as if they had pins."""
    lists = pin_lists(machine)
    for one in lists:
        count = counted(len(one.pins), "pin")
        what = f"{count} used" if one.part is None else f"offers {count} to others"
        yield from wrapped(what, width, INDENT, "faint", (Piece(visible(one.title), "strong"), Piece(INDENT)))
        yield from _use_lines(one.pins, width)
        yield BLANK
    boards = [one for one in lists if one.part is None]
    total = sum(len(one.pins) for one in boards)
    yield line(f"{counted(total, 'pin')} on {counted(len(boards), 'board')}.")


def _use_lines(pins: Mapping[str, Sequence[PinUse]], width: int) -> Iterator[Line]:
    every = [use for uses in pins.values() for use in uses]
    longest = max(breadth(visible(pin)) for pin in pins)
    roles = max(breadth(_role(use)) for use in every)
    column = len(INDENT) + longest + roles + 2 * len(GAP)
    users = min(max(breadth(_user(use)) for use in every), max(width - column - PLACE, 0))
    for pin, uses in pins.items():
        for at, use in enumerate(uses):
            name = visible(pin) if at == 0 else ""
            opening = f"{INDENT}{padded(name, longest)}{GAP}{padded(_role(use), roles)}{GAP}"
            yield from _beside(
                opening, _user(use), users, visible(f"{use.place.file}:{use.place.line}"), width
            )


def _beside(opening: str, user: str, column: int, place: str, width: int) -> Iterator[Line]:
    """The place in its column where there is room for both, else on a line of its own."""
    indent = breadth(opening)
    if breadth(user) <= column and indent + column + len(GAP) + breadth(place) <= width:
        yield line(opening + padded(user, column) + GAP, Piece(place, "faint"))
        return
    yield from wrapped(user, width, indent, first=opening)
    yield from wrapped(place, width, indent, "faint")


def _role(use: PinUse) -> str:
    role = use.meaning.role.partition(".")[2]
    return WORDS.get(role, role)


def _user(use: PinUse) -> str:
    alias = f" (as {use.via.name})" if use.via is not None else ""
    section = use.meaning.setting.section
    if use.part is None or not use.part.name:
        named = use.part is not None and fold_name(section) == fold_name(use.part.kind)
        shown = section if named or use.part is None else f"{use.part.kind} [{section}]"
    else:
        shown = use.part.title
    return visible(shown + alias)
