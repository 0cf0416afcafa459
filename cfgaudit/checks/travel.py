"""How far the axes travel, gathered from every section that says so."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from cfgaudit.checks.rule import format_amount
from cfgaudit.machine.model import Machine, Meaning
from cfgaudit.syntax.document import Place
from cfgaudit.syntax.value import Dimension, Number

SLACK = 1e-6
"""Differences below a nanometre come from arithmetic, not from the machine."""


class Bounds(NamedTuple):
    """What is written about one axis's travel; an end that is not written, or not as a length, is None."""

    letter: str
    low: Meaning | None
    high: Meaning | None

    def beyond(self, position: float) -> Meaning | None:
        """The limit, in mm, that a position lies beyond; None where it lies inside or nobody can tell."""
        for limit, sign in ((self.low, -1.0), (self.high, 1.0)):
            amount = limit.amount if limit is not None else None
            if amount is not None and sign * (position - amount) > SLACK:
                return limit
        return None

    def places(self) -> tuple[Place, ...]:
        return tuple(limit.place for limit in (self.low, self.high) if limit is not None)

    def __str__(self) -> str:
        """``x travels from 0 to 420 mm``."""
        low = format_amount(self.low.amount) if self.low is not None and self.low.amount is not None else None
        high = (
            format_amount(self.high.amount)
            if self.high is not None and self.high.amount is not None
            else None
        )
        if low is not None and high is not None:
            return f"{self.letter} travels from {low} to {high} mm"
        return f"{self.letter} travels {f'up to {high}' if low is None else f'down to {low}'} mm"


def travel_bounds(machine: Machine) -> dict[str, Bounds]:
    """The travel of each axis, by letter.

    Where several carriages share an axis, the widest counts. An axis whose limits are swapped has no bounds:
    what else is outside them would only repeat that fault.
    """
    lows: dict[str, list[Meaning]] = {}
    highs: dict[str, list[Meaning]] = {}
    for letter, meaning in axis_lengths(machine, "travel.min"):
        lows.setdefault(letter, []).append(meaning)
    for letter, meaning in axis_lengths(machine, "travel.max"):
        highs.setdefault(letter, []).append(meaning)
    bounds = {}
    for letter in sorted({*lows, *highs}):
        low, high = _outermost(lows.get(letter, []), -1.0), _outermost(highs.get(letter, []), 1.0)
        if not (low and high and swapped(low, high)):
            bounds[letter] = Bounds(letter, low, high)
    return bounds


def swapped(low: Meaning, high: Meaning) -> bool:
    """Whether a lower limit lies above the upper one."""
    return low.amount is not None and high.amount is not None and low.amount > high.amount


def axis_lengths(machine: Machine, role: str) -> Iterator[tuple[str, Meaning]]:
    """Every length of a role that belongs to an axis, with the axis's letter. Shared settings come once."""
    return ((letter, meaning) for letter, meaning in axis_meanings(machine, role) if is_length(meaning))


def axis_meanings(machine: Machine, role: str) -> Iterator[tuple[str, Meaning]]:
    """Every setting of a role that belongs to an axis by its own name, its section or a reference.

    A setting that two parts of one section share comes once.
    """
    found = machine.index.by_role.get(role, ())
    letters: dict[int, list[str]] = {}
    for axis in machine.axes() if found else ():
        for part in axis.parts():
            letters.setdefault(id(part), []).append(axis.letter)
    seen: set[tuple[str, Place]] = set()
    for part, meaning in found:
        for letter in [meaning.axis] if meaning.axis else letters.get(id(part), []):
            if (letter, meaning.place) not in seen:
                seen.add((letter, meaning.place))
                yield letter, meaning


def is_length(meaning: Meaning) -> bool:
    """Whether the setting is one number, in a unit of length or in none."""
    value = meaning.value
    return (
        meaning.fits and isinstance(value, Number) and value.dimension in (Dimension.NONE, Dimension.LENGTH)
    )


def _outermost(meanings: list[Meaning], sign: float) -> Meaning | None:
    return max(meanings, key=lambda one: sign * (one.amount or 0.0), default=None)
