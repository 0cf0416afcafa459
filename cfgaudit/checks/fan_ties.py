"""Which fan cools or moves the air of which heater."""

from __future__ import annotations

from collections.abc import Iterable

from cfgaudit.checks.finding import Subject
from cfgaudit.checks.heated_place import places_named
from cfgaudit.checks.ties import sensors_of, tied
from cfgaudit.machine.model import Machine, Part
from cfgaudit.machine.pieces import split_words

OTHERS = ("heater", "sensor", "motor", "driver", "board", "supply", "light")
FANS = ("fan", "output")
"""An output may drive a fan or a pump."""


def fans_of(machine: Machine, heater: Part) -> list[Part]:
    """The fans that a heater names or that name it, or its sensor."""
    found = [fan for part in (heater, *sensors_of(machine, heater)) for fan in tied(machine, part, *FANS)]
    return list({id(fan): fan for fan in found}.values())


def says_so(machine: Machine, heater: Part) -> bool:
    """Whether a setting, not only a name, binds a fan to the heater."""
    return any(
        not link.implied
        and link.target is not None
        and {link.origin.kind, link.target.kind} == {"fan", "heater"}
        and heater.section in (link.origin.section, link.target.section)
        for link in machine.references
    )


def may_serve(subject: Subject, fan: Part, place: str, jobs: Iterable[str]) -> bool:
    """Whether a fan that no setting binds to a heater of that place may serve it for all that is written.

    Not a fan that other parts have, nor one whose name says that it does another job.
    """
    if place in places_named(subject, fan.section.name):
        return True
    if any(True for _ in tied(subject.machine, fan, *OTHERS)):
        return False
    return not has_job(fan, jobs)


def has_job(fan: Part, jobs: Iterable[str]) -> bool:
    """Whether one of these words stands in the name of the fan's section."""
    return not set(jobs).isdisjoint(split_words(fan.section.name))
