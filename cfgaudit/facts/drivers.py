"""Facts of a motor's driver: the current that its sense resistor allows."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.facts.fact import Fact, Term, fact, fact_name
from cfgaudit.facts.inputs import positive
from cfgaudit.machine.driver_chips import chip_of
from cfgaudit.machine.model import Machine, Meaning, Part
from cfgaudit.physics.drivers import rms_ceiling
from cfgaudit.syntax.value import Dimension, Number

LARGEST_RESISTOR = 2.0
"""Ω; a bare number above it counts in something else (common practice, no source)."""
LARGEST_CURRENT = 10.0
"""A; a bare number above it is no current in A: mA, percent, or a scale of the chip's."""
SMALLEST_MILLIAMPERES = 200.0
"""A bare number from this on counts in mA: no percentage and no chip's scale goes so far."""


@fact
def current_ceilings(machine: Machine) -> Iterator[Fact]:
    """``driver.D.current_ceiling`` in A RMS, for chips of the table that have a sense resistor."""
    for driver in machine.kind("driver"):
        chip, resistor = chip_of(machine, driver), _of_section(machine, driver, "sense.resistance")
        ohms = positive(resistor)
        if chip is None or chip.full_scale is None or resistor is None or ohms is None:
            continue
        if ohms > LARGEST_RESISTOR:
            continue
        model = _of_section(machine, driver, "driver.model")
        terms = Term("V_FS", chip.full_scale, "V"), Term("R_S", ohms, "Ω"), Term("R_X", chip.extra, "Ω")
        run = run_current(machine, driver)
        yield Fact(
            fact_name(driver, "current_ceiling"),
            rms_ceiling(chip.full_scale, ohms, chip.extra),
            "A RMS",
            (resistor, *((model,) if model is not None else ())),
            "V_FS ÷ (R_S + R_X) ÷ √2",
            chip.source,
            terms,
            run if run is not None and run.amount == amperes(run) else None,
        )


def run_current(machine: Machine, driver: Part) -> Meaning | None:
    """The current of a driver's motor while it moves, from its section or its motor's."""
    own = _of_section(machine, driver, "current.run")
    motors = (motor for motor in machine.partners(driver, "motor"))
    return own or next((one for motor in motors if (one := motor.get("current.run")) is not None), None)


def amperes(meaning: Meaning) -> float | None:
    """A current in A; None where its number may count in something else."""
    amount = positive(meaning)
    if amount is None or not isinstance(meaning.value, Number):
        return None
    if meaning.value.dimension is Dimension.CURRENT or amount <= LARGEST_CURRENT:
        return amount
    return amount / 1000.0 if amount >= SMALLEST_MILLIAMPERES else None


def _of_section(machine: Machine, part: Part, role: str) -> Meaning | None:
    """A setting of the part, or of another one that its section describes."""
    return next((one for holder in (part, *machine.mates(part)) for one in holder.all(role)), None)
