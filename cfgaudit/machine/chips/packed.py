"""A chip in plain types and little room, to be kept between runs."""

from __future__ import annotations

from typing import Any

from cfgaudit.machine.chips.chip import Chip, ChipPin, Reach, Signal, Unknown, pin_key

FORM = 1
"""Raised whenever what is kept, or how it is made of the vendors' data, changes."""

_REACHES = {Reach.EVERY: "e", Reach.SOME: "s", Reach.NONE: "n"}
_LETTERS = {letter: reach for reach, letter in _REACHES.items()}


def pack(found: Chip | Unknown) -> dict[str, Any]:
    """Names, numbers and lists only; each signal is written once."""
    if isinstance(found, Unknown):
        return {"name": found.name, "reason": found.reason}
    numbers: dict[Signal, int] = {}

    def numbered(signals: tuple[Signal, ...]) -> list[int]:
        return [numbers.setdefault(one, len(numbers)) for one in signals]

    pins = [
        [pin.name, _REACHES[pin.reach], numbered(pin.signals), numbered(pin.sometimes)]
        for pin in found.pins.values()
    ]
    signals = [list(one) for one in numbers]
    return {
        "name": found.name,
        "anywhere": sorted(found.anywhere),
        "source": found.source,
        "signals": signals,
        "pins": pins,
    }


def unpack(kept: Any) -> Chip | Unknown | None:
    """What was packed; None where it is anything else."""
    try:
        if "reason" in kept:
            return Unknown(_text(kept["name"]), _text(kept["reason"]))
        signals = [Signal(*map(_text, one)) for one in kept["signals"]]
        pins = [_pin(one, signals) for one in kept["pins"]]
        anywhere = frozenset(_text(one) for one in kept["anywhere"])
        by_key = {pin_key(pin.name): pin for pin in pins}
        return Chip(_text(kept["name"]), by_key, anywhere, _text(kept["source"]))
    except (TypeError, ValueError, KeyError, IndexError, AttributeError):
        return None


def _pin(kept: Any, signals: list[Signal]) -> ChipPin:
    name, reach, *lists = kept
    always, sometimes = (tuple(signals[at] for at in one) for one in lists)
    return ChipPin(_text(name), _LETTERS[reach], always, sometimes)


def _text(value: Any) -> str:
    if not isinstance(value, str):
        raise TypeError
    return value
