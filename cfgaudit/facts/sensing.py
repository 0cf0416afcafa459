"""How the temperature of a heater is read: the sensor that it has, the sensor's curve, and the divider."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import lru_cache
from typing import NamedTuple

from cfgaudit.facts.converters import UNKNOWN, Resolution, resolutions
from cfgaudit.facts.inputs import positive
from cfgaudit.facts.sensor_types import curve_of
from cfgaudit.machine.celsius import celsius
from cfgaudit.machine.model import Machine, Meaning, Part
from cfgaudit.physics.curves import Curve
from cfgaudit.syntax.read_sensor import read_sensor
from cfgaudit.syntax.sensor import SensorKind

DIGITAL = ("pin.select", "pin.clock", "bus.name", "bus.address", "bus.speed")
"""What a sensor has that a chip of its own reads: then a resistor stated is no divider of the board's."""
OWN = ("pin.sensor", "sensor.kind", *DIGITAL)
"""A heater with one of these carries its sensor itself."""


class Divider(NamedTuple):
    """The pull-up in Ω with its setting, and how finely the board reads it."""

    pullup: float
    stated: Meaning
    resolution: Resolution

    @property
    def bits(self) -> int:
        return self.resolution.bits


class Sensing(NamedTuple):
    """The sensor of one part: a heater's, or a sensor's own. ``holder`` is the part that states it.

    ``curve`` is None where the kind gives none, ``divider`` where no pull-up is stated or none reads it.
    """

    part: Part
    holder: Part
    kind: SensorKind
    stated: tuple[Meaning, ...]
    """The settings that say the kind."""
    curve: Curve | None
    divider: Divider | None

    @property
    def lowest(self) -> Meaning | None:
        """The lower limit: the part's own, else that of its sensor; a temperature in °C."""
        return _limit("temp.min", self.part, self.holder)

    @property
    def highest(self) -> Meaning | None:
        """The upper limit, likewise."""
        return _limit("temp.max", self.part, self.holder)


@lru_cache(maxsize=8)
def sensings(machine: Machine, *kinds: str) -> tuple[Sensing, ...]:
    """What is known of the sensors of all parts of these kinds (``heater``, ``sensor``)."""
    return tuple(_sensings(machine, kinds))


def _sensings(machine: Machine, kinds: Iterable[str]) -> Iterator[Sensing]:
    pins = resolutions(machine)
    for part in machine.kind(*kinds):
        holder = part if part.kind == "sensor" else _holder(machine, part)
        kind = _kind(holder) if holder is not None else None
        if holder is not None and kind is not None:
            sort, stated = kind
            yield Sensing(part, holder, sort, stated, curve_of(sort), _divider(holder, pins))


def _holder(machine: Machine, heater: Part) -> Part | None:
    """The part that states a heater's sensor: itself, else its only sensor."""
    if any(one.role in OWN for one in heater.meanings):
        return heater
    sensors = machine.partners(heater, "sensor")
    return sensors[0] if len(sensors) == 1 else None


def _kind(holder: Part) -> tuple[SensorKind, tuple[Meaning, ...]] | None:
    """What the kind's name says, and what settings of their own add; None where the two contradict."""
    named, nominal, beta = (holder.get(role) for role in ("sensor.kind", "sensor.nominal", "sensor.beta"))
    ohms, constant = positive(nominal), positive(beta)
    stated = tuple(one for one in (named, nominal, beta) if one is not None)
    said = read_sensor(named.text) if named is not None else None
    if said is None:
        enough = (ohms and constant) if named is not None else (ohms or constant)
        return (SensorKind("thermistor", ohms, constant), stated) if enough else None
    if _differ(said.ohms, ohms) or _differ(said.beta, constant):
        return None
    if said.family == "thermistor" and not said.points:
        said = said._replace(ohms=said.ohms or ohms, beta=said.beta or constant)
    return said, stated


def _differ(one: float | None, other: float | None) -> bool:
    return one is not None and other is not None and one != other


def _divider(holder: Part, pins: Mapping[int, Resolution]) -> Divider | None:
    pin, stated = holder.get("pin.sensor"), holder.get("sensor.pullup")
    ohms = positive(stated)
    digital = any(one.role in DIGITAL for one in holder.meanings)
    if pin is None or stated is None or ohms is None or digital:
        return None
    return Divider(ohms, stated, pins.get(id(pin), UNKNOWN))


def _limit(role: str, *parts: Part) -> Meaning | None:
    stated = (part.get(role) for part in parts)
    return next((one for one in stated if celsius(one) is not None), None)
