"""Addresses that the chips of motor drivers do not have."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.checks.buses import address_of
from cfgaudit.checks.finding import Limits, Problem, Skip, Subject
from cfgaudit.checks.registry import check
from cfgaudit.machine.driver_chips import chip_of
from cfgaudit.syntax.document import Place


@check("address-beyond-chip")
def address_beyond_chip(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """An address of a driver that its chip, if it is one that we know, cannot be set to."""
    seen: set[Place] = set()
    for part in subject.machine.kind("driver", "motor", "axis"):
        for meaning in part.all("driver.address"):
            chip = chip_of(subject.machine, part)
            address = address_of(meaning) if meaning.fits else None
            if (
                chip is None
                or chip.addresses is None
                or meaning.place in seen
                or not isinstance(address, int)
            ):
                continue
            seen.add(meaning.place)
            if not 0 <= address < chip.addresses:
                last = chip.addresses - 1
                answers = f"answers to 0 to {last} only" if last else "answers to 0 only"
                yield Problem(
                    meaning.place,
                    f"{part.title} has the address {meaning.text.strip()}, but its {chip.name} {answers}",
                    subject=part.title,
                )
