"""A fact: one computed quantity with its unit and the settings it came from."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from fnmatch import fnmatchcase
from typing import NamedTuple

from cfgaudit.machine.model import Machine, Meaning, Part

MARKS = re.compile(r"[^\w]+")

Amount = float | tuple[float, ...] | tuple[tuple[float, ...], ...]


class Term(NamedTuple):
    """A quantity of a formula: the words or letter that stand for it there, and its number in ``unit``."""

    symbol: str
    amount: float
    unit: str = ""


class Fact(NamedTuple):
    """``name`` is a path such as ``axis.x.steps_per_mm``; ``value`` is in ``unit``."""

    name: str
    value: Amount
    unit: str
    origin: tuple[Meaning, ...]
    formula: str = ""
    """The formula in words of the trade, without numbers."""
    source: str = ""
    """Where the formula is from; empty for plain arithmetic."""
    terms: tuple[Term, ...] = ()
    """What the formula's words and letters stand for; empty where the origin says it all."""
    bounds: Meaning | None = None
    """The setting that must not be above this fact; None where it bounds none."""


@dataclass(frozen=True, slots=True)
class Facts:
    """Every fact of one machine, in the order in which they were computed."""

    facts: tuple[Fact, ...]
    _by_name: dict[str, Fact] = field(init=False, repr=False, compare=False, default_factory=dict)

    def __post_init__(self) -> None:
        for one in self.facts:
            self._by_name.setdefault(one.name, one)

    def get(self, name: str) -> Fact | None:
        """The fact with this name; the first where parts share a name."""
        return self._by_name.get(name)

    def matching(self, pattern: str) -> Iterator[Fact]:
        """Facts whose name matches a glob (``axis.*.travel``)."""
        return (fact for fact in self.facts if fnmatchcase(fact.name, pattern))


def fact_name(part: Part, quantity: str) -> str:
    """``heater.bed.watts``: kind, the part's name (its section's where it has none), quantity.

    White space, dots and other marks in names become one hyphen, so that a name is one piece of the path.
    """
    label = MARKS.sub("-", part.name or part.section.name).strip("-").casefold()
    return f"{part.kind}.{label}.{quantity}"


FactMaker = Callable[[Machine], Iterator[Fact]]
MAKERS: list[FactMaker] = []


def fact(maker: FactMaker) -> FactMaker:
    """Register a generator of facts. A missing input yields nothing."""
    MAKERS.append(maker)
    return maker
