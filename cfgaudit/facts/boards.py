"""Facts of a board."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.facts.fact import Fact, fact, fact_name
from cfgaudit.machine.model import Machine
from cfgaudit.tree.names import fold_name


@fact
def pins_used(machine: Machine) -> Iterator[Fact]:
    """``board.B.pins_used``: how many of its pins anything uses; a shared pin counts once."""
    for board in machine.kind("board"):
        pins = machine.pins.get(fold_name(board.name), {})
        used = [uses[0].meaning for uses in pins.values() if uses[0].virtual is None]
        yield Fact(fact_name(board, "pins_used"), float(len(used)), "1", tuple(used), "pins in the pin map")
