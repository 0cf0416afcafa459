"""TreeReading to Machine."""

from __future__ import annotations

from cfgaudit.machine.aliases import Aliases, read_aliases
from cfgaudit.machine.boards import Boards
from cfgaudit.machine.implied import implied_references
from cfgaudit.machine.macros import build_macros
from cfgaudit.machine.model import Machine
from cfgaudit.machine.names import Names
from cfgaudit.machine.parts import build_parts
from cfgaudit.machine.pins import PinReader
from cfgaudit.machine.references import stated_references
from cfgaudit.vocabulary.reading import TreeReading


def build_machine(reading: TreeReading) -> Machine:
    """The machine that a tree describes. Never fails: what cannot be resolved is in the result as such."""
    parts = build_parts(reading)
    names = Names(parts)
    boards = Boards(names)
    stated = tuple(stated_references(names, boards))
    aliases = Aliases(read_aliases(parts, boards), boards)
    return Machine(
        reading=reading,
        parts=parts,
        references=stated + tuple(implied_references(names, stated)),
        aliases=aliases.all,
        pins=PinReader(names, boards, aliases).pin_map(),
        macros=build_macros(names),
    )
