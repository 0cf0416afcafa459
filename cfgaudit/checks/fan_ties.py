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


def fans_of(machine: Machine, heater: Part) -> tuple[Part, ...]:
    """The fans that a heater names or that name it, or its sensor."""
    heard = (heater, *sensors_of(machine, heater))
    return tuple(dict.fromkeys(fan for part in heard for fan in tied(machine, part, *FANS)))


def says_so(machine: Machine, heater: Part) -> bool:
    """Whether a setting, not only a name, binds a fan to the heater."""
    links = [link for fan in machine.to_part(heater, "fan") for link in machine.from_part(fan)]
    theirs = (link for link in links if link.target is heater)
    mine = (link for link in machine.from_part(heater) if link.target and link.target.kind == "fan")
    return any(not link.implied for link in (*mine, *theirs))


def may_serve(subject: Subject, fan: Part, place: str, jobs: Iterable[str]) -> bool:
    """Whether a fan that no setting binds to a heater of that place may serve it for all that is written.

    Not a fan that other parts have, nor one whose name says that it does another job.
    """
    if any(place in places_named(subject, text) for text in fan.callings):
        return True
    if tied(subject.machine, fan, *OTHERS):
        return False
    return not has_job(fan, jobs)


def has_job(fan: Part, jobs: Iterable[str]) -> bool:
    """Whether one of these words stands in the name of the fan's section, or in what is stated of it."""
    return any(not set(jobs).isdisjoint(split_words(text)) for text in fan.callings)
