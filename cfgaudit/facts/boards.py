"""Facts of a board."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.facts.fact import Fact, fact, fact_name
from cfgaudit.machine.model import Machine
from cfgaudit.tree.names import fold_name


@fact
def pins_used(machine: Machine) -> Iterator[Fact]:
    """``board.B.pins_used``: how many of its pins anything uses; a shared pin counts once.

    A name that is neither a chip's pin nor an alias, nor has a board before it, may be no pin at all.
    """
    for board in machine.kind("board"):
        pins = machine.pins.get(fold_name(board.name), {})
        used = [uses[0].meaning for uses in pins.values() if uses[0].certain]
        yield Fact(fact_name(board, "pins_used"), float(len(used)), "1", tuple(used), "pins in the pin map")


@fact
def pins_free(machine: Machine) -> Iterator[Fact]:
    """``board.B.pins_free``: how many pins the chip has left for new things.

    Those that a crystal, the debug port or USB may need are not counted. No fact where a pin is written in a
    way that the chip's table does not have, or where the chip's name leaves open what its package brings out.
    """
    if not machine.chips:
        return
    from cfgaudit.machine.free_pins import free_pins

    for left in free_pins(machine):
        part, stated = left.board.part, left.board.stated
        settled = all(pin.reach == "every" for pin in left.pins)
        if part is not None and settled and not left.unplaced:
            origin = () if stated is None else (stated,)
            yield Fact(
                fact_name(part, "pins_free"),
                float(len(left.pins)),
                "1",
                origin,
                "pins that the package brings out - pins used - pins of crystal, debug port and USB",
                left.chip.source,
            )
