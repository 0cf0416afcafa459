"""bus-speed-beyond-chip: a bus faster than the chip at its end can follow."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from cfgaudit.checks.buses import on_i2c
from cfgaudit.checks.finding import Limit, Limits, Problem, Skip, Subject
from cfgaudit.checks.hertz import hertz_text
from cfgaudit.checks.registry import check
from cfgaudit.machine.model import Part
from cfgaudit.tree.names import fold_name

SPI, I2C = "SPI", "I2C"


@check("bus-speed-beyond-chip")
def bus_speed_beyond_chip(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A stated bus speed above the highest that the chip's data sheet allows.

    A limit is named by the bus and the chip: ``SPI-ADXL345``.
    """
    chips: dict[str, dict[str, Limit]] = {}
    for limit in limits.values():
        bus, _, chip = limit.name.partition("-")
        chips.setdefault(fold_name(chip), {})[bus] = limit
    for part in subject.machine.parts:
        speed = part.get("bus.speed")
        if speed is None or speed.amount is None:
            continue
        highest = _highest(part, chips)
        if highest is not None and isinstance(highest.value, (int, float)) and speed.amount > highest.value:
            bus, _, chip = highest.name.partition("-")
            yield Problem(
                speed.place,
                f"{part.title} runs its bus at {hertz_text(speed.amount)}, but {bus} of the {chip} ends at "
                f"{hertz_text(highest.value)}",
                subject=part.title,
            )


def _highest(part: Part, chips: Mapping[str, Mapping[str, Limit]]) -> Limit | None:
    """The limit of the chip on its bus; the highest where nothing tells which bus it is."""
    texts = [part.section.name, part.name, *(one.value.strip("\"' ") for one in part.section.settings)]
    known = next((chips[folded] for text in texts if (folded := fold_name(text)) in chips), None)
    if known is None:
        return None
    bus = _bus(part)
    if bus is not None:
        return known.get(bus)
    return max(known.values(), key=lambda one: one.value if isinstance(one.value, (int, float)) else 0)


def _bus(part: Part) -> str | None:
    if part.get("pin.select"):
        return SPI
    return I2C if on_i2c(part) or part.get("bus.address") else None
