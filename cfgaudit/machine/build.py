"""TreeReading to Machine."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING

from cfgaudit.machine.aliases import Aliases, read_aliases
from cfgaudit.machine.board_chips import read_board_chips
from cfgaudit.machine.boards import Boards
from cfgaudit.machine.implied import implied_references
from cfgaudit.machine.macros import build_macros
from cfgaudit.machine.model import Machine
from cfgaudit.machine.names import Names
from cfgaudit.machine.parts import build_parts
from cfgaudit.machine.pins import PinReader
from cfgaudit.machine.references import stated_references
from cfgaudit.vocabulary.reading import TreeReading

if TYPE_CHECKING:
    from cfgaudit.machine.chips.chip import ChipLibrary

NOTHING_NAMED: Mapping[str, str] = MappingProxyType({})


def build_machine(
    reading: TreeReading, library: ChipLibrary | None = None, chips: Mapping[str, str] = NOTHING_NAMED
) -> Machine:
    """The machine that a tree describes. Never fails: what cannot be resolved is in the result as such.

    ``library`` is where chips are looked up; ``chips`` are the boards' chips as ``cfgaudit.toml`` names them.
    """
    parts = build_parts(reading)
    names = Names(parts)
    boards = Boards(names)
    stated = tuple(stated_references(names, boards))
    aliases = Aliases(read_aliases(parts, boards), boards)
    pins = PinReader(names, boards, aliases).pin_map()
    return Machine(
        reading=reading,
        parts=parts,
        references=stated + tuple(implied_references(names, stated)),
        aliases=aliases.all,
        pins=pins,
        macros=build_macros(names),
        chips=read_board_chips(boards, pins.keys(), library, chips),
    )
