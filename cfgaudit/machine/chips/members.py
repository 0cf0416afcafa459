"""From the tables of single parts to the chip that a name stands for."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from cfgaudit.machine.chips.chip import Chip, ChipPin, Reach, Signal, counting_order, pin_key

PartTable = Mapping[str, frozenset[Signal]]
"""The pins that one part's package brings out, by their makers' names, with their signals."""


def chip_of(
    name: str,
    parts: Sequence[PartTable],
    die: Collection[str],
    *,
    anywhere: frozenset[str] = frozenset(),
    source: str = "",
) -> Chip:
    """What all parts share, and what only some of them have. ``die`` names the pins of the silicon itself."""
    names = sorted({*die, *(pin for part in parts for pin in part)}, key=counting_order)
    return Chip(name, {pin_key(pin): _pin(pin, parts) for pin in names}, anywhere, source)


def _pin(name: str, parts: Sequence[PartTable]) -> ChipPin:
    brought_out = [part[name] for part in parts if name in part]
    if not brought_out:
        return ChipPin(name, Reach.NONE)
    shared = frozenset.intersection(*brought_out)
    other = frozenset().union(*brought_out) - shared
    reach = Reach.EVERY if len(brought_out) == len(parts) else Reach.SOME
    return ChipPin(name, reach, _ordered(shared), _ordered(other))


def _ordered(signals: Collection[Signal]) -> tuple[Signal, ...]:
    return tuple(sorted(signals, key=lambda one: (one.kind, counting_order(f"{one.unit} {one.name}"))))
