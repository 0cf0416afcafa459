"""Facts of the sensors of heaters: what they have, what the converter sees, what a broken one seems to be."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.facts.fact import Fact, Term, fact, fact_name
from cfgaudit.facts.sensing import Divider, Sensing, sensings
from cfgaudit.facts.sensor_types import type_of
from cfgaudit.machine.celsius import celsius
from cfgaudit.machine.model import Machine
from cfgaudit.physics.curves import Curve, seen_at, step_at, worst_step
from cfgaudit.physics.divider import open_ohms, short_ohms

ROOM = 20.0
"""°C. Heaters work from there up; how finely a sensor reads a colder room is no matter of theirs."""
OHMS_LAW = "Ohm's law"
STEP = "1 ÷ (2ⁿ |dR/dT| Rₚ ÷ (R + Rₚ)²)"


@fact
def stands(machine: Machine) -> Iterator[Fact]:
    """``heater.H.sensor_highest`` in °C: what the sensor's type stands for long."""
    for sensing in sensings(machine, "heater"):
        sort = type_of(sensing.kind)
        if sort is not None:
            name = fact_name(sensing.part, "sensor_highest")
            formula = f"what {sort.name} stands"
            yield Fact(name, sort.highest, "°C", sensing.stated, formula, sort.source, bounds=sensing.highest)


@fact
def ohms_at_limit(machine: Machine) -> Iterator[Fact]:
    """``heater.H.sensor_ohms_at_max`` in Ω: what the sensor has at the upper limit."""
    for sensing in sensings(machine, "heater"):
        highest, curve = sensing.highest, sensing.curve
        top = celsius(highest)
        if highest is not None and top is not None and curve is not None and curve.holds(top):
            name = fact_name(sensing.part, "sensor_ohms_at_max")
            origin = (highest, *sensing.stated)
            terms = tuple(Term(*one) for one in curve.terms(top))
            yield Fact(name, curve.ohms(top), "Ω", origin, curve.formula, curve.source, terms)


@fact
def converter_steps(machine: Machine) -> Iterator[Fact]:
    """``heater.H.adc_step_at_max`` and ``adc_step_worst`` in °C for one count of the converter.

    The worst is that between the lower limit, or the room's 20 °C if that is more, and the upper limit.
    """
    for sensing, curve, divider in _read_by_divider(machine):
        top, bottom = celsius(sensing.highest), celsius(sensing.lowest)
        if top is None or not curve.holds(top):
            continue
        yield _step(sensing, curve, divider, "adc_step_at_max", top)
        start = ROOM if bottom is None else max(bottom, ROOM)
        if start < top:
            _, at = worst_step(curve, start, top, pullup=divider.pullup, bits=divider.bits)
            yield _step(sensing, curve, divider, "adc_step_worst", at)


@fact
def broken_sensors(machine: Machine) -> Iterator[Fact]:
    """``heater.H.open_reads``, ``short_reads`` in °C: what an unplugged and a shorted sensor seem to read."""
    for sensing, curve, divider in _read_by_divider(machine):
        unplugged = open_ohms(pullup=divider.pullup, bits=divider.bits)
        shorted = short_ohms(pullup=divider.pullup, bits=divider.bits)
        for quantity, ohms, formula in (
            ("open_reads", unplugged, "R = Rₚ (2ⁿ − 1), at full scale less one count"),
            ("short_reads", shorted, "R = Rₚ ÷ (2ⁿ − 1), at one count"),
        ):
            seen = seen_at(curve, ohms)
            end = "" if curve.celsius(ohms) is not None else ", beyond the end of the sensor's law"
            if seen is not None:
                formula = f"temperature at {formula}{end}, {_bits(divider)}"
                yield _fact(sensing, divider, quantity, seen, formula, Term("R", ohms, "Ω"))


def _read_by_divider(machine: Machine) -> Iterator[tuple[Sensing, Curve, Divider]]:
    for sensing in sensings(machine, "heater"):
        if sensing.curve is not None and sensing.divider is not None:
            yield sensing, sensing.curve, sensing.divider


def _step(sensing: Sensing, curve: Curve, divider: Divider, quantity: str, at: float) -> Fact:
    terms = Term("R", curve.ohms(at), "Ω"), Term("dR/dT", curve.slope(at), "Ω/K")
    formula = f"{STEP} at {at:g} °C, {_bits(divider)}"
    amount = step_at(curve, at, pullup=divider.pullup, bits=divider.bits)
    return _fact(sensing, divider, quantity, amount, formula, *terms)


def _bits(divider: Divider) -> str:
    known = "as the chip has" if divider.resolution.chip else "as usual, since no chip says otherwise"
    return f"n = {divider.bits} bits {known}"


def _fact(
    sensing: Sensing, divider: Divider, quantity: str, amount: float, formula: str, *terms: Term
) -> Fact:
    """What a divider gives: the pull-up is the first of its origins, for it is the easiest to mend."""
    limit = sensing.highest if quantity.startswith("adc_step") else None
    further = (one for one in (limit, *sensing.stated, divider.resolution.stated) if one is not None)
    own = Term("Rₚ", divider.pullup, "Ω"), Term("n", divider.bits)
    name = fact_name(sensing.part, quantity)
    return Fact(name, amount, "°C", (divider.stated, *further), formula, OHMS_LAW, (*terms, *own))
