"""pin-not-analog: thermistors and platinum sensors on pins that can only tell high from low."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from cfgaudit.checks.chip_pins import ChipUse, chip_problem, chip_uses, one_a_place, unknown_chips
from cfgaudit.checks.finding import Limits, Problem, Skip, Subject
from cfgaudit.checks.registry import check
from cfgaudit.machine.model import Part

if TYPE_CHECKING:
    from cfgaudit.machine.free_pins import FreePins

# Compiled when first used: most checks need none of them.
RESISTOR = r"(?i)(?<![a-z])(?:ntc|ptc|rtd|pt[ -]?100|pt[ -]?1000)(?![a-z])|thermistor"
"""What says that a sensor is a resistor, whose voltage must be read."""
NUMERIC = (
    r"(?i)ds18|dht\d|am23|one.?wire|1.?wire|digital|max\d|amplif|spi|i2c|i²c|uart|serial|remote|virtual|host"
)
"""What says that another chip reads the sensor and sends numbers."""
LINES = ("pin.select", "pin.clock", "pin.data_in", "pin.data_out", "pin.uart", "bus.name", "bus.address")
FEW = 6


@check("pin-not-analog")
def pin_not_analog(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A resistive sensor on a pin that leads to no converter."""
    yield from unknown_chips(subject.machine)
    found = list(one_a_place(use for use in chip_uses(subject.machine) if _is_misplaced(use)))
    left = _left(subject) if found else {}
    for one in found:
        what = f"which the {one.chip.name} of {one.board.title} cannot read as a voltage"
        yield chip_problem(one, what, advice=_advice(left[one.board.board]))


def _left(subject: Subject) -> dict[str, FreePins]:
    from cfgaudit.machine.free_pins import free_pins

    return {one.board.board: one for one in free_pins(subject.machine)}


def _is_misplaced(one: ChipUse) -> bool:
    from cfgaudit.machine.chips.chip import ANALOG, Reach

    if one.use.meaning.role != "pin.sensor" or one.pin is None or one.pin.reach is Reach.NONE:
        return False
    if any(one.pin.possibly(ANALOG)) or not one.chip.knows(ANALOG):
        return False
    return one.use.part is not None and _is_resistor(one.use.part)


def _is_resistor(part: Part) -> bool:
    """Whether the section says so, and nothing in it says that the sensor speaks in numbers."""
    if any(part.get(role) for role in LINES):
        return False
    texts = [*part.callings, *(text for one in part.section.settings for text in (one.name, one.value))]
    stated = [one.setting for role in ("pin.sensor", "sensor.kind") for one in part.all(role)]
    told = [text for one in stated for text in (one.name, one.value)]
    return _any(RESISTOR, told) and not _any(NUMERIC, texts)


def _any(pattern: str, texts: Iterable[str]) -> bool:
    return any(re.search(pattern, text) for text in texts)


def _advice(left: FreePins) -> str | None:
    from cfgaudit.machine.chips.chip import ANALOG

    names = [pin.name for pin in left.pins if any(pin.surely(ANALOG))]
    if not names:
        return None
    shown = ", ".join(names[:FEW]) + (" …" if len(names) > FEW else "")
    return f"Use a pin that can be read as a voltage; nothing uses {shown} yet."
