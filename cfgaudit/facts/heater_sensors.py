"""Facts of the sensors of heaters: what they have, what the converter sees, what a broken one seems to be."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.facts.fact import Fact, fact, fact_name
from cfgaudit.facts.sensing import Divider, Sensing, sensings
from cfgaudit.machine.celsius import celsius
from cfgaudit.machine.model import Machine
from cfgaudit.physics.curves import Curve, seen_at, step_at, worst_step
from cfgaudit.physics.divider import open_ohms, short_ohms

ROOM = 20.0
"""°C. Heaters work from there up; how finely a sensor reads a colder room is no matter of theirs."""
OHMS_LAW = "Ohm's law"
STEP = "1 ÷ (2ⁿ |dR/dT| Rₚ ÷ (R + Rₚ)²)"


@fact
def ohms_at_limit(machine: Machine) -> Iterator[Fact]:
    """``heater.H.sensor_ohms_at_max`` in Ω: what the sensor has at the upper limit."""
    for sensing in sensings(machine, "heater"):
        highest, curve = sensing.highest, sensing.curve
        top = celsius(highest)
        if highest is not None and top is not None and curve is not None and curve.holds(top):
            name = fact_name(sensing.part, "sensor_ohms_at_max")
            origin = (highest, *sensing.stated)
            yield Fact(name, curve.ohms(top), "Ω", origin, curve.formula, curve.source)


@fact
def converter_steps(machine: Machine) -> Iterator[Fact]:
    """``heater.H.adc_step_at_max`` and ``adc_step_worst`` in °C for one count of the converter.

    The worst is that between the lower limit, or the room's 20 °C if that is more, and the upper limit.
    """
    for sensing, curve, divider in _read_by_divider(machine):
        top, bottom = celsius(sensing.highest), celsius(sensing.lowest)
        if top is None or not curve.holds(top):
            continue
        at_top = step_at(curve, top, pullup=divider.pullup, bits=divider.bits)
        formula = f"{STEP} at the upper limit, {_bits(divider)}"
        yield _fact(sensing, divider, "adc_step_at_max", at_top, formula)
        start = ROOM if bottom is None else max(bottom, ROOM)
        if start < top:
            worst = worst_step(curve, start, top, pullup=divider.pullup, bits=divider.bits)
            formula = f"{STEP}, the most from {start:g} °C to the upper limit, {_bits(divider)}"
            yield _fact(sensing, divider, "adc_step_worst", worst, formula)


@fact
def broken_sensors(machine: Machine) -> Iterator[Fact]:
    """``heater.H.open_reads``, ``short_reads`` in °C: what an unplugged and a shorted sensor seem to read."""
    for sensing, curve, divider in _read_by_divider(machine):
        unplugged = open_ohms(pullup=divider.pullup, bits=divider.bits)
        shorted = short_ohms(pullup=divider.pullup, bits=divider.bits)
        for quantity, ohms, count in (
            ("open_reads", unplugged, "full scale less one count"),
            ("short_reads", shorted, "one count"),
        ):
            seen = seen_at(curve, ohms)
            end = "" if curve.celsius(ohms) is not None else ", beyond the end of the sensor's law"
            if seen is not None:
                formula = f"temperature at {count}{end}, {_bits(divider)}"
                yield _fact(sensing, divider, quantity, seen, formula)


def _read_by_divider(machine: Machine) -> Iterator[tuple[Sensing, Curve, Divider]]:
    for sensing in sensings(machine, "heater"):
        if sensing.curve is not None and sensing.divider is not None:
            yield sensing, sensing.curve, sensing.divider


def _bits(divider: Divider) -> str:
    known = "as the chip has" if divider.chip is not None else "as usual, since no chip says otherwise"
    return f"n = {divider.bits} bits {known}"


def _fact(sensing: Sensing, divider: Divider, quantity: str, amount: float, formula: str) -> Fact:
    """What a divider gives: the pull-up is the first of its origins, for it is the easiest to mend."""
    limit = sensing.highest if quantity.startswith("adc_step") else None
    chip = (divider.chip,) if divider.chip is not None else ()
    origin = (divider.stated, *((limit,) if limit is not None else ()), *sensing.stated, *chip)
    return Fact(fact_name(sensing.part, quantity), amount, "°C", origin, formula, OHMS_LAW)
