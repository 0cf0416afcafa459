"""Facts of a heater."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.facts.fact import Fact, fact, fact_name
from cfgaudit.facts.inputs import positive
from cfgaudit.machine.model import Machine, Meaning, Part
from cfgaudit.physics.heat import heater_power
from cfgaudit.syntax.value import Dimension, Number


@fact
def watts(machine: Machine) -> Iterator[Fact]:
    """``heater.H.watts`` in W: the stated rating, else V² ÷ R, times the duty limit if one is stated."""
    for heater in machine.kind("heater"):
        full = _rated(heater) or _from_resistance(heater, machine)
        limit = heater.get("power.max")
        duty = 1.0 if limit is None else limit.amount
        if full is None or duty is None or not 0 < duty <= 1:
            continue
        power, origin, formula = full
        if limit is not None:
            origin, formula = (*origin, limit), f"{formula} × duty limit"
        yield Fact(fact_name(heater, "watts"), power * duty, "W", origin, formula, "Joule's law")


def _rated(heater: Part) -> tuple[float, tuple[Meaning, ...], str] | None:
    rating = heater.get("power.rating")
    power = positive(rating)
    return (power, (rating,), "rating") if rating is not None and power is not None else None


def _from_resistance(heater: Part, machine: Machine) -> tuple[float, tuple[Meaning, ...], str] | None:
    """From the heater's own resistance, and its own voltage or that of the only supply."""
    resistance = next((one for one in heater.meanings if _is_resistance(one)), None)
    supplies = [one for supply in machine.kind("supply") if (one := supply.get("volts"))]
    voltage = heater.get("volts") or (supplies[0] if len(supplies) == 1 else None)
    ohms, volts = positive(resistance), positive(voltage)
    if resistance is None or voltage is None or ohms is None or volts is None:
        return None
    return heater_power(volts, ohms), (voltage, resistance), "V² ÷ R"


def _is_resistance(meaning: Meaning) -> bool:
    """A resistance that is not the sensor's pull-up."""
    value = meaning.value
    written = isinstance(value, Number) and value.dimension is Dimension.RESISTANCE
    return written and meaning.fits and meaning.role not in ("sensor.pullup", "sensor.kind")
