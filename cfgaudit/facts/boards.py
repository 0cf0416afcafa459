"""Facts of a board."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.facts.fact import Fact, fact, fact_name
from cfgaudit.machine.model import Machine, PinUse
from cfgaudit.tree.names import fold_name


@fact
def pins_used(machine: Machine) -> Iterator[Fact]:
    """``board.B.pins_used``: how many of its pins anything uses; a shared pin counts once.

    A name that is neither a chip's pin nor an alias, nor has a board before it, may be no pin at all.
    """
    for board in machine.kind("board"):
        pins = machine.pins.get(fold_name(board.name), {})
        used = [uses[0].meaning for uses in pins.values() if _is_pin(uses[0])]
        yield Fact(fact_name(board, "pins_used"), float(len(used)), "1", tuple(used), "pins in the pin map")


def _is_pin(use: PinUse) -> bool:
    named = use.pin.on_chip or use.via is not None or use.pin.board is not None
    return named and use.virtual is None
