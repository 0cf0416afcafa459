"""How finely the chip of a board reads an analogue pin."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import NamedTuple

from cfgaudit.machine.board_chips import BoardChip
from cfgaudit.machine.model import Machine, Meaning
from cfgaudit.own_toml import read_own_toml

TABLE = Path(__file__).with_name("adc_bits.toml")
USUAL_BITS = 12
"""Bits of a chip that nobody names: what nearly all chips of today have (common practice, no source)."""

APART = re.compile(r"[\W_]+")


class Resolution(NamedTuple):
    """Bits; the chip whose they are, empty where none is known to have others than usual; what names it."""

    bits: int
    chip: str
    stated: Meaning | None


UNKNOWN = Resolution(USUAL_BITS, "", None)


def resolutions(machine: Machine) -> Mapping[int, Resolution]:
    """For the ``id`` of every meaning that is a sensor's pin: how finely its board's chip reads it."""
    by_board = {board: _resolution(chip) for board, chip in machine.chips.items()}
    return {
        id(use.meaning): by_board.get(board, UNKNOWN)
        for board, pins in machine.pins.items()
        for uses in pins.values()
        for use in uses
        if use.meaning.role == "pin.sensor"
    }


def _resolution(chip: BoardChip) -> Resolution:
    bits = bits_of_chip(chip.chip.name)
    return UNKNOWN if bits is None else Resolution(bits, chip.chip.name, chip.stated)


def bits_of_chip(name: str) -> int | None:
    """The bits of a chip's converter by the chip's name; None for chips that the table has not."""
    plain = APART.sub("", name).upper()
    known = [beginning for beginning in _bits() if plain.startswith(beginning)]
    return _bits()[max(known, key=len)] if known else None


@cache
def _bits() -> Mapping[str, int]:
    table: Mapping[str, int] = read_own_toml(TABLE)["bits"]
    return table
