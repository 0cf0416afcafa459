"""How long the guards of heaters wait before they look whether the temperature has risen."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.machine.model import Machine, Meaning, Part
from cfgaudit.syntax.value import Dimension, Number

UNCLEAR_FROM = 1000.0
"""A bare number from here on may count milliseconds; below, it is in seconds."""


def guard_time(machine: Machine, heater: Part) -> tuple[Meaning, float] | None:
    """The shortest time that a guard of a heater waits, with its seconds; None where none is clear."""
    times = [
        (meaning, seconds)
        for part in _watching(machine, heater)
        for meaning in part.all("guard.time")
        if (seconds := _seconds(meaning)) is not None
    ]
    return min(times, key=lambda one: one[1], default=None)


def _watching(machine: Machine, heater: Part) -> Iterator[Part]:
    """The heater itself, the other parts of its section, and the guards that name it or its sensor."""
    yield from (heater, *machine.mates(heater))
    yield from machine.to_part(heater, "guard")
    for sensor in machine.partners(heater, "sensor"):
        yield from machine.to_part(sensor, "guard")


def _seconds(meaning: Meaning) -> float | None:
    amount, value = meaning.amount, meaning.value
    if amount is None or not isinstance(value, Number) or amount <= 0:
        return None
    return None if value.dimension is Dimension.NONE and amount >= UNCLEAR_FROM else amount
