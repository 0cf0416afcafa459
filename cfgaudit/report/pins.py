"""The pin map as text and JSON."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from cfgaudit.machine.model import Machine, PinUse
from cfgaudit.report.json_form import Json, place_form
from cfgaudit.report.lines import BLANK, Line, Piece, counted, cut, line, visible

Pins = Mapping[str, tuple[PinUse, ...]]
NUMBER = re.compile(r"(\d+)")


def pins_form(machine: Machine) -> Json:
    """The report of ``pins``: boards, their pins, and every user of each."""
    return {
        "boards": {
            board: {pin: [_use_form(use) for use in uses] for pin, uses in _sorted(pins)}
            for board, pins in machine.pins.items()
        }
    }


def _use_form(use: PinUse) -> Json:
    return {
        "part": None if use.part is None else {"kind": use.part.kind, "name": use.part.name},
        "role": use.meaning.role,
        "section": use.meaning.setting.section,
        "setting": use.meaning.setting.name,
        "written": use.meaning.text,
        "alias": None if use.via is None else use.via.name,
        "where": place_form(use.place),
    }


def pins_lines(machine: Machine, width: int) -> Iterator[Line]:
    """Board by board, the pins in order with their users."""
    total = 0
    for board, pins in machine.pins.items():
        yield line(Piece(visible(_title(board)), "strong"), f"  {counted(len(pins), 'pin')} used")
        longest = max(len(_shown(pin, uses)) for pin, uses in pins.items())
        for pin, uses in _sorted(pins):
            for at, use in enumerate(uses):
                name = _shown(pin, uses) if at == 0 else ""
                yield line(cut(f"  {visible(name):<{longest}}  {visible(_told(use))}", width))
        total += len(pins)
        yield BLANK
    yield line(f"{counted(total, 'pin')} on {counted(len(machine.pins), 'board')}.")


def _title(board: str) -> str:
    return f"board {board}" if board else "the board"


def _shown(pin: str, uses: tuple[PinUse, ...]) -> str:
    direct = next((use for use in uses if use.via is None), None)
    return pin.upper() if direct is None else direct.pin.name


def _told(use: PinUse) -> str:
    part = use.part.title if use.part is not None else use.meaning.setting.section
    alias = f" (as {use.via.name})" if use.via is not None else ""
    return f"{use.meaning.role.partition('.')[2]:<10} {part}{alias}  {use.place.file}:{use.place.line}"


def _sorted(pins: Pins) -> list[tuple[str, tuple[PinUse, ...]]]:
    """Pins as a person counts them: PA2 before PA10."""
    return sorted(
        pins.items(), key=lambda one: [int(bit) if bit.isdigit() else bit for bit in NUMBER.split(one[0])]
    )
