"""Chips that drive stepper motors: what the table ``driver_chips.toml`` says of the one that a part names."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import NamedTuple

from cfgaudit.machine.model import Machine, Part
from cfgaudit.own_toml import read_own_toml
from cfgaudit.tree.names import fold_name

TABLE = Path(__file__).with_name("driver_chips.toml")
MOVING = ("driver", "motor", "axis")
"""Kinds of parts that may say which chip drives a motor."""


class DriverChip(NamedTuple):
    """One chip of the table. Volts and ohms; ``addresses`` counts from 0; None where the chip has none."""

    name: str
    microsteps: int
    source: str
    full_scale: float | None = None
    extra: float = 0.0
    addresses: int | None = None


@cache
def driver_chips() -> Mapping[str, DriverChip]:
    """Every chip by its folded name."""
    tables = read_own_toml(TABLE)["chip"]
    chips = [
        DriverChip(
            name,
            microsteps=table["microsteps"],
            source=table["source"],
            full_scale=table.get("full_scale"),
            extra=table.get("extra", 0.0),
            addresses=table.get("addresses"),
        )
        for table in tables
        for name in table["names"]
    ]
    return {fold_name(chip.name): chip for chip in chips}


def find_driver_chip(text: str) -> DriverChip | None:
    """The chip that a text names, whatever stands before the name or behind it; None if it names none.

    ``TMC2209-LA`` and ``tmc 2209`` are found, a longer number is another chip.
    """
    folded = fold_name(text)
    for name, chip in driver_chips().items():
        _, found, behind = folded.partition(name)
        if found and not behind[:1].isdigit():
            return chip
    return None


def chip_of(machine: Machine, part: Part) -> DriverChip | None:
    """The chip that drives a motor: named by the part, by another of its section, or by a driver tied to it.

    A section's name may name it too.
    """
    holders = (part, *machine.mates(part), *machine.partners(part, "driver"))
    stated = [model.text for holder in holders for model in holder.all("driver.model")]
    texts = stated or [text for holder in holders if holder.kind in MOVING for text in holder.callings]
    return next((chip for text in texts if (chip := find_driver_chip(text)) is not None), None)
