"""Links that no setting states, by equal names and equal axes.

A section that states a reference of the kind, even one to nothing, gets no implied one of that kind.

- guard: the heaters of its own section; else those that its name names (``bed``; ``bed, nozzle``; ``all``);
  else, where it is the only guard and its name is nobody's or missing, every heater;
- driver: the motor of its name or axis, else the axis; motor and endstop: the axis of their name or axis;
- heater without a sensor of its own, and the sensor of its name: each refers to the other;
- fan: the heater whose name its section's name holds (``[fan nozzle]``, ``[nozzle heater fan]``);
- accelerometer and shaper: the axis that their section's name gives.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import islice

from cfgaudit.machine.model import Part, Reference
from cfgaudit.machine.names import Names
from cfgaudit.machine.pieces import split_words
from cfgaudit.machine.wording import is_every

OWN_SENSOR = frozenset({"pin.sensor", "pin.select", "bus.name", "bus.address"})
"""A heater with one of these carries its own sensor."""

ASKED_KINDS: Mapping[str, str] = {
    "guard": "heater",
    "driver": "motor",
    "motor": "axis",
    "endstop": "axis",
    "accelerometer": "axis",
    "shaper": "axis",
    "fan": "heater",
    "heater": "sensor",
}
"""By the kind of part that implies a reference: the kind that it refers to."""


def implied_references(names: Names, stated: Sequence[Reference]) -> Iterator[Reference]:
    """Every implied reference, in the order of the parts."""
    asked = {(id(one.origin.section), one.kind) for one in stated}
    for part in names.parts:
        kind = ASKED_KINDS.get(part.kind)
        if kind is None or (id(part.section), kind) in asked:
            continue
        for target in _targets(part, names):
            yield _implied(part, kind, target)
            if part.kind == "heater" and (id(target.section), "heater") not in asked:
                yield _implied(target, "heater", part)


def _implied(origin: Part, kind: str, target: Part) -> Reference:
    return Reference(origin, kind, target.name, target, None, implied=True)


def _targets(part: Part, names: Names) -> Iterator[Part]:
    match part.kind:
        case "guard":
            return _guarded(part, names)
        case "driver":
            return _driven(part, names)
        case "motor" | "endstop":
            return _moved(part, names)
        case "fan":
            return _cooled(part, names)
        case "heater":
            return _sensor(part, names)
        case _:
            return _axis(part, names)


def _guarded(guard: Part, names: Names) -> Iterator[Part]:
    heaters = names.index.by_kind.get("heater", ())
    if mates := [heater for heater in heaters if heater.section is guard.section]:
        yield from mates
    elif is_every(guard.name):
        yield from heaters
    elif named := list(_named_in(guard.name, "heater", names)):
        yield from named
    elif len(names.index.by_kind["guard"]) == 1 and names.of_any_kind(guard.name, besides=guard) is None:
        yield from heaters


def _driven(driver: Part, names: Names) -> Iterator[Part]:
    """A driver of a section that is the motor or axis itself needs no link."""
    if any(mate.kind in ("motor", "axis") for mate in names.index.by_section[id(driver.section)]):
        return
    motor = names.named(driver.name, ("motor",)) or _of_axis(driver, "motor", names)
    yield from [motor] if motor is not None else _moved(driver, names)


def _moved(part: Part, names: Names) -> Iterator[Part]:
    if any(mate.kind == "axis" for mate in names.index.by_section[id(part.section)]):
        return
    axis = names.named(part.name, ("axis",)) or _of_axis(part, "axis", names)
    if axis is not None:
        yield axis


def _axis(part: Part, names: Names) -> Iterator[Part]:
    axis = names.moving(part.axis) if part.axis else None
    if axis is not None and axis.section is not part.section:
        yield axis


def _sensor(heater: Part, names: Names) -> Iterator[Part]:
    mates = names.index.by_section[id(heater.section)]
    if any(one.role in OWN_SENSOR for one in heater.meanings) or any(one.kind == "sensor" for one in mates):
        return
    sensor = names.named(heater.name, ("sensor",)) if heater.name else None
    if sensor is not None:
        yield sensor


def _cooled(fan: Part, names: Names) -> Iterator[Part]:
    found = (part for text in fan.callings for part in _named_in(text, "heater", names))
    yield from islice(found, 1)


def _of_axis(part: Part, kind: str, names: Names) -> Part | None:
    same = names.index.by_axis.get(part.axis, ()) if part.axis else ()
    return next((one for one in same if one.kind == kind), None)


def _named_in(text: str, kind: str, names: Names) -> Iterator[Part]:
    """The parts of a kind whose names stand in a text, the longest names first taken, each once."""
    words, seen = split_words(text), set[int]()
    start = 0
    while start < len(words):
        runs = (("".join(words[start:end]), end) for end in range(min(len(words), start + 3), start, -1))
        hit = next(((part, end) for run, end in runs if (part := names.named(run, (kind,)))), None)
        if hit is not None and id(hit[0]) not in seen:
            seen.add(id(hit[0]))
            yield hit[0]
        start = hit[1] if hit is not None else start + 1
