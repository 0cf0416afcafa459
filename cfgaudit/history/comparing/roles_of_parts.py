"""What a part is to a heater, for what changes there weighs more than elsewhere."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from functools import cached_property

from cfgaudit.checks.fan_ties import fans_of
from cfgaudit.checks.ties import tied
from cfgaudit.machine.model import Machine, Meaning, Part

FAN_AT_HEATER = "fan-at-heater"
"""A fan that runs with a heater, or that a heater names: it keeps a cold side cold, or moves hot air."""
SENSOR_AT_HEATER = "sensor-at-heater"
"""A sensor that a heater is regulated by."""
FEEDER = "feeder"
"""What moves filament, not an axis."""


class PartRoles:
    """Of one machine: the kinds under which a part's changes are weighed, the more telling first."""

    def __init__(self, machine: Machine) -> None:
        self._machine = machine

    def kinds(self, part: Part, meaning: Meaning | None = None) -> tuple[str, ...]:
        """The kinds of a part that holds a meaning."""
        return (*self._telling(part, meaning), part.kind)

    def heater(self, part: Part) -> str:
        """The title of the heater that a part has to do with; empty where there is none."""
        found = next(iter(self.heaters(part)), None)
        return found.title if found is not None else ""

    def heaters(self, part: Part) -> tuple[Part, ...]:
        """The heaters that a part has to do with; a heater itself has to do with itself alone."""
        if part.kind == "heater":
            return (part,)
        known = self._fans.get(id(part)) or self._sensors.get(id(part))
        return tuple(known) if known else tied(self._machine, part, "heater")

    def _telling(self, part: Part, meaning: Meaning | None) -> Iterator[str]:
        if id(part) in self._fans:
            yield FAN_AT_HEATER
        if id(part) in self._sensors:
            yield SENSOR_AT_HEATER
        letter = meaning.axis if meaning is not None else part.axis
        if letter == "e" or (part.axis is None and letter is None and self._melts(part)):
            yield FEEDER
        if letter is not None:
            yield f"axis-{letter}"

    def _melts(self, part: Part) -> bool:
        """Whether a motor shares its section with a heater, or states a filament."""
        if part.kind not in ("motor", "axis", "driver"):
            return False
        mates = self._machine.mates(part)
        return part.get("filament.size") is not None or any(mate.kind == "heater" for mate in mates)

    @cached_property
    def _fans(self) -> dict[int, list[Part]]:
        return self._with(lambda heater: fans_of(self._machine, heater))

    @cached_property
    def _sensors(self) -> dict[int, list[Part]]:
        return self._with(lambda heater: tied(self._machine, heater, "sensor"))

    def _with(self, others: Callable[[Part], Iterable[Part]]) -> dict[int, list[Part]]:
        """By the identity of a part the heaters that it goes with."""
        found: defaultdict[int, list[Part]] = defaultdict(list)
        for heater in self._machine.kind("heater"):
            for one in others(heater):
                found[id(one)].append(heater)
        return dict(found)
