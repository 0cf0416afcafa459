"""A fact: one computed quantity with its unit and the settings it came from."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fnmatch import fnmatchcase

from cfgaudit.machine.model import Machine, Meaning

Amount = float | tuple[float, ...] | tuple[tuple[float, ...], ...]


@dataclass(frozen=True, slots=True)
class Fact:
    """``name`` is a path such as ``axis.x.steps_per_mm``; ``value`` is in ``unit``."""

    name: str
    value: Amount
    unit: str
    origin: tuple[Meaning, ...]
    formula: str = ""
    """The formula in words of the trade, without numbers."""
    source: str = ""
    """Where the formula is from; empty for plain arithmetic."""


@dataclass(frozen=True, slots=True)
class Facts:
    """Every fact of one machine, in the order in which they were computed."""

    facts: tuple[Fact, ...]

    def get(self, name: str) -> Fact | None:
        return next((fact for fact in self.facts if fact.name == name), None)

    def matching(self, pattern: str) -> Iterator[Fact]:
        """Facts whose name matches a glob (``axis.*.travel``)."""
        return (fact for fact in self.facts if fnmatchcase(fact.name, pattern))


FactMaker = Callable[[Machine], Iterator[Fact]]
MAKERS: list[FactMaker] = []


def fact(maker: FactMaker) -> FactMaker:
    """Register a generator of facts. A missing input yields nothing."""
    MAKERS.append(maker)
    return maker
