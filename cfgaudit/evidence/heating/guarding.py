"""A heater's guard held against how the heater was measured to heat, and what its record says of it."""

from __future__ import annotations

from math import exp
from typing import NamedTuple

from cfgaudit.evidence.heating.regulator import Plant
from cfgaudit.evidence.records.record import Record

NARROW = 0.25
"""The share that a healthy heater should gain beyond what is wanted, for draughts, fans and a weak supply
(common practice, no source)."""
FULL_OUTPUT, FULL_OUTPUT_ASSUMED = "full output", "assumed full output"
"""The results that say what full power is as a regulator's number: stated by the builder, or assumed."""


class MeasuredHeater(NamedTuple):
    """What a record of a heat-up says. Temperatures in °C."""

    plant: Plant
    ambient: float
    top: float
    """The highest that was measured."""
    full: float = 1.0
    """The largest duty that may be given, 0 to 1."""

    def rate(self, temperature: float) -> float:
        """By how many K a second it rises there at the largest duty; 0 where it gets no hotter."""
        above = temperature - self.ambient
        return max(0.0, (self.plant.gain * self.full - above) / self.plant.time_constant)

    def gained(self, temperature: float, seconds: float) -> float:
        """The K that it gains from standing still there, at the largest duty: x (1 − e^(−(t − θ)/τ))."""
        constant = self.plant.time_constant
        left = max(0.0, seconds - self.plant.dead_time)
        return self.rate(temperature) * constant * (1.0 - exp(-left / constant))

    def unnoticed(self, temperature: float, seconds: float) -> float:
        """The K that it gets hotter by while a guard waits and nothing tells of it: x (1 − e^(−(θ + t)/τ)).

        The heat of one dead time is on its way already when the sensor falls off.
        """
        constant = self.plant.time_constant
        return self.rate(temperature) * constant * (1.0 - exp(-(self.plant.dead_time + seconds) / constant))


class Watching(NamedTuple):
    """What a guard is set to."""

    guard: str
    """The title of the part that watches."""
    seconds: float
    rise: float | None = None
    """K that it wants within that time."""
    band: float | None = None
    """K below its target in which it looks for no rise."""


class Watched(NamedTuple):
    """A guard's settings held against a heater. Temperatures in °C."""

    watching: Watching
    hot: float
    """Where the heater is slowest and the guard still looks."""
    gained: float
    """K that the healthy heater gains there within the guard's time."""
    begins: float
    """From where the heater runs away, if its sensor has fallen off there."""
    reaches: float
    """How hot it gets before the guard looks."""
    limit: float | None
    """The upper limit that is configured."""
    hottest: float | None = None
    """Where the guard still looks below the upper limit, if that is hotter than what was measured."""
    gained_at_hottest: float | None = None
    """K that the healthy heater gains there by its model."""

    @property
    def spare(self) -> float | None:
        """The share by which the healthy heater gains more than is wanted; None where nothing is."""
        rise = self.watching.rise
        return self.gained / rise - 1.0 if rise else None

    @property
    def is_narrow(self) -> bool:
        """Whether a healthy heater gains enough, but hardly more than that."""
        return self.spare is not None and 0.0 <= self.spare < NARROW

    @property
    def trips_at_hottest(self) -> bool:
        """Whether it gains enough where it was measured, but not near its upper limit."""
        rise, gained = self.watching.rise, self.gained_at_hottest
        return rise is not None and gained is not None and gained < rise and not self.trips

    @property
    def trips(self) -> bool:
        """Whether the guard switches a healthy heater off."""
        return self.watching.rise is not None and self.gained < self.watching.rise

    @property
    def beyond(self) -> float:
        """K above the upper limit, or above where it began where none is configured."""
        return self.reaches - (self.begins if self.limit is None else self.limit)


def watch(heater: MeasuredHeater, watching: Watching, limit: float | None = None) -> Watched:
    """A guard held against a heater whose upper limit is ``limit`` °C.

    A guard that wants more than is left to its target would end every heat-up, so none looks there, whether
    it states a band or not.
    """
    left = max(watching.band or 0.0, watching.rise or 0.0)
    hot, begins = heater.top - left, heater.top if limit is None else limit
    hottest = begins - left if begins > heater.top else None
    return Watched(
        watching,
        hot,
        heater.gained(hot, watching.seconds),
        begins,
        begins + heater.unnoticed(begins, watching.seconds),
        limit,
        hottest,
        None if hottest is None else heater.gained(hottest, watching.seconds),
    )


def measured_heater(record: Record) -> MeasuredHeater | None:
    """The heater that a record of a heat-up tells of; None where it lacks a number, or none is a heater's."""
    names = ("gain", "time constant", "dead time", "ambient", "top", "full duty")
    found = {name: result.value for name in names if (result := record.result(name)) is not None}
    if any(name not in found for name in names[:-1]):
        return None
    plant = Plant(found["gain"], found["time constant"], found["dead time"])
    if plant.gain <= 0 or plant.time_constant <= 0 or plant.dead_time < 0:
        return None
    return MeasuredHeater(plant, found["ambient"], found["top"], found.get("full duty", 1.0))


def stated_output(record: Record) -> float | None:
    """What full power is as a number of the regulator's, as the builder said it when the record was made."""
    found = record.result(FULL_OUTPUT)
    return found.value if found is not None and found.value > 0 else None
