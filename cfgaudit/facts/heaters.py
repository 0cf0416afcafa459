"""Facts of a heater: its power, and the heat that it gives before its guard looks."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from cfgaudit.facts.fact import Fact, Term, fact, fact_name
from cfgaudit.facts.guards import shortest_wait
from cfgaudit.facts.inputs import positive
from cfgaudit.machine.model import Machine, Meaning, Part
from cfgaudit.physics.heat import energy, heater_power

JOULE = "Joule's law"
LEAST = 1.0
"""W. What comes out below this is no heater: the resistance is another's."""


class Power(NamedTuple):
    """Watts with what they came from, as a fact says it."""

    watts: float
    origin: tuple[Meaning, ...]
    formula: str
    terms: tuple[Term, ...]


@fact
def watts(machine: Machine) -> Iterator[Fact]:
    """``heater.H.watts`` in W: the stated rating, else V² ÷ R, times the duty limit if one is stated."""
    for heater in machine.kind("heater"):
        power = power_of(machine, heater)
        if power is not None:
            name = fact_name(heater, "watts")
            yield Fact(name, power.watts, "W", power.origin, power.formula, JOULE, power.terms)


@fact
def heat_before_guard(machine: Machine) -> Iterator[Fact]:
    """``heater.H.heat_before_guard`` in J: what it gives while the guard waits for a rise."""
    for heater in machine.kind("heater"):
        power, wait = power_of(machine, heater), shortest_wait(machine, heater)
        if power is None or wait is None:
            continue
        heat = energy(power.watts, wait.seconds)
        terms = Term("watts", power.watts, "W"), Term("guard's time", wait.seconds, "s")
        origin = (wait.time, *power.origin)
        name = fact_name(heater, "heat_before_guard")
        yield Fact(name, heat, "J", origin, "watts × guard's time", JOULE, terms)


def power_of(machine: Machine, part: Part) -> Power | None:
    """The most that a part takes on average; None where neither a rating nor volts and ohms are stated."""
    full = _rated(part) or _from_resistance(machine, part)
    limit = part.get("power.max")
    duty = 1.0 if limit is None else limit.amount
    if full is None or duty is None or not 0 < duty <= 1:
        return None
    if limit is None:
        return full
    terms = (*full.terms, Term("duty limit", duty, ""))
    return Power(full.watts * duty, (*full.origin, limit), f"{full.formula} × duty limit", terms)


def _rated(part: Part) -> Power | None:
    rating = part.get("power.rating")
    power = positive(rating)
    if rating is None or power is None:
        return None
    return Power(power, (rating,), "rating", (Term("rating", power, "W"),))


def _from_resistance(machine: Machine, heater: Part) -> Power | None:
    """From the heater's own resistance, and its own voltage or that of the only supply."""
    resistance = heater.get("heater.resistance")
    supplies = [one for supply in machine.kind("supply") if (one := supply.get("volts"))]
    voltage = heater.get("volts") or (supplies[0] if len(supplies) == 1 else None)
    ohms, volts = positive(resistance), positive(voltage)
    if resistance is None or voltage is None or ohms is None or volts is None:
        return None
    power = heater_power(volts, ohms)
    terms = Term("V", volts, "V"), Term("R", ohms, "Ω")
    return Power(power, (voltage, resistance), "V² ÷ R", terms) if power >= LEAST else None
