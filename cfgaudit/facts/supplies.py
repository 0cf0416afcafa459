"""Facts of a power supply: what can be on together, against what it is rated for.

Nothing says that a supply feeds a part but the volts of both. What states the supply's volts is on it; what
states others is not (a heater on mains). What states none is taken to be on it where it is the machine's only
supply and could bear the part alone, which is no certainty: `Load.sure` is False then.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import isclose
from typing import NamedTuple

from cfgaudit.facts.fact import Fact, Term, fact, fact_name
from cfgaudit.facts.heaters import JOULE, power_of
from cfgaudit.facts.inputs import positive
from cfgaudit.machine.model import Machine, Meaning, Part
from cfgaudit.machine.parts import distinct_meanings
from cfgaudit.physics.heat import winding_power

LOADS = ("heater", "light", "output")
MOVING = ("motor", "driver", "axis")
WINDING_OHMS = 2.0
"""Ω of one winding: the motors of the trade have 1 to 3 (common practice, no source)."""
MOST_AMPERES = 10.0
"""A number from here on is no current of a motor in A: it counts mA, or steps of a chip."""
MOTOR_VOLTS = 9.0
"""A supply below feeds no motors (common practice, no source)."""
SOURCE = f"{JOULE}; a motor takes 2 I² R of {WINDING_OHMS:g} Ω a winding, common practice, no source"
SAME_VOLTS = 0.1
"""Voltages as far apart as this are one: a supply is trimmed to 24.5 V where 24 V are meant."""


class Load(NamedTuple):
    """One thing that can be on, by its title, with its watts and what says them."""

    title: str
    watts: float
    origin: tuple[Meaning, ...]
    sure: bool


class Supply(NamedTuple):
    """A supply with its rating in W, and everything that it feeds."""

    part: Part
    rating: float
    stated: Meaning
    loads: tuple[Load, ...]

    @property
    def watts(self) -> float:
        return sum(load.watts for load in self.loads)


@fact
def load(machine: Machine) -> Iterator[Fact]:
    """``supply.S.load`` in W, and ``load_share``, the same ÷ the rating."""
    for supply in loaded_supplies(machine):
        origin = (supply.stated, *(one for load in supply.loads for one in load.origin))
        terms = tuple(Term(load.title, load.watts, "W") for load in supply.loads)
        words = " + ".join(load.title for load in supply.loads)
        name = fact_name(supply.part, "load")
        yield Fact(name, supply.watts, "W", origin[1:], words, SOURCE, terms)
        share, rating = supply.watts / supply.rating, Term("rating", supply.rating, "W")
        formula = f"({words}) ÷ rating"
        yield Fact(f"{name}_share", share, "1", origin, formula, SOURCE, (*terms, rating))


def loaded_supplies(machine: Machine) -> Iterator[Supply]:
    """Every supply with a rating that is known to feed anything."""
    supplies = list(machine.kind("supply"))
    for supply in supplies:
        stated = supply.get("power.rating")
        rating = positive(stated)
        if stated is None or rating is None:
            continue
        loads = tuple(_rated_loads(machine, supply, rating, only=len(supplies) == 1))
        if len(supplies) == 1 and (positive(supply.get("volts")) or 0.0) >= MOTOR_VOLTS:
            loads += tuple(_motors(machine))
        if loads:
            yield Supply(supply, rating, stated, loads)


def _rated_loads(machine: Machine, supply: Part, rating: float, *, only: bool) -> Iterator[Load]:
    for part in machine.kind(*LOADS):
        power, own = power_of(machine, part), part.get("volts")
        if power is None:
            continue
        if own is None:
            fed = only and power.watts <= rating
        else:
            fed = _same(positive(own), positive(supply.get("volts"))) and _alone(machine, supply)
        if fed:
            yield Load(part.title, power.watts, power.origin, sure=own is not None)


def _motors(machine: Machine) -> Iterator[Load]:
    """All motors whose current is stated, as one load: both windings of each at their running current."""
    stated = [one for one in _running_currents(machine) if (positive(one) or MOST_AMPERES) < MOST_AMPERES]
    if stated:
        watts = sum(winding_power(one.amount or 0.0, WINDING_OHMS) for one in stated)
        yield Load(f"{len(stated)} motor{'s' * (len(stated) > 1)}", watts, tuple(stated), sure=True)


def _running_currents(machine: Machine) -> Iterator[Meaning]:
    """The running current of every motor once: its driver's, where that states one in its own section."""
    for part, meaning in distinct_meanings(machine.kind(*MOVING)):
        drivers = machine.partners(part, "driver")
        elsewhere = (one for one in drivers if one.section is not part.section)
        if meaning.role == "current.run" and not any(one.get("current.run") for one in elsewhere):
            yield meaning


def _alone(machine: Machine, supply: Part) -> bool:
    """Whether no other supply has the same volts, so that these tell what is on it."""
    volts = positive(supply.get("volts"))
    others = (other for other in machine.kind("supply") if other is not supply)
    return not any(_same(volts, positive(other.get("volts"))) for other in others)


def _same(one: float | None, other: float | None) -> bool:
    return one is not None and other is not None and isclose(one, other, rel_tol=SAME_VOLTS)
