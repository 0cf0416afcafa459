"""How long the guards of heaters wait before they look whether the temperature has risen."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from cfgaudit.machine.model import Machine, Meaning, Part
from cfgaudit.syntax.value import Dimension, Number

UNCLEAR_FROM = 1000.0
"""A bare number from here on may count milliseconds; below, it is in seconds."""


class Wait(NamedTuple):
    """A guard's waiting time with its seconds, and the rise that it waits for where one is stated."""

    guard: Part
    time: Meaning
    seconds: float
    rise: Meaning | None


def shortest_wait(machine: Machine, heater: Part) -> Wait | None:
    """The guard of a heater that looks first; None where no clear time is stated."""
    return min(waits(machine, heater), key=lambda one: one.seconds, default=None)


def waits(machine: Machine, heater: Part) -> Iterator[Wait]:
    """What every guard of a heater waits, where it states a clear time."""
    for part in watchers(machine, heater):
        for time in part.all("guard.time"):
            if (seconds := _seconds(time)) is not None:
                yield Wait(part, time, seconds, part.get("guard.rise"))


def watchers(machine: Machine, heater: Part) -> Iterator[Part]:
    """The parts that watch a heater, or say how it is watched: the guards that name it or its sensor, itself
    and the other parts of its section where these have a setting of a guard."""
    for part in (heater, *machine.mates(heater)):
        if any(True for _ in part.all("guard.")):
            yield part
    yield from machine.to_part(heater, "guard")
    for sensor in machine.partners(heater, "sensor"):
        yield from machine.to_part(sensor, "guard")


def _seconds(meaning: Meaning) -> float | None:
    amount, value = meaning.amount, meaning.value
    if amount is None or not isinstance(value, Number) or amount <= 0:
        return None
    return None if value.dimension is Dimension.NONE and amount >= UNCLEAR_FROM else amount
