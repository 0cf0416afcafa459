"""heater-unguarded: heaters that nothing watches."""

from __future__ import annotations

import re
from collections.abc import Iterator

from cfgaudit.checks.finding import Limits, Problem, Skip, Subject
from cfgaudit.checks.heated_place import driven_heaters
from cfgaudit.checks.registry import check
from cfgaudit.checks.ties import mentions, sensors_of, tied
from cfgaudit.machine.model import Machine, Meaning, Part
from cfgaudit.syntax.read_value import read_value
from cfgaudit.syntax.value import Number
from cfgaudit.vocabulary.words import load_words

BY_SHARE = re.compile(r"pid|mpc|model|predict|proportion|fuzzy|\bpi\b", re.IGNORECASE)
"""Kinds of control that give a share of the power, and so need no band between on and off."""


@check("heater-unguarded")
def heater_unguarded(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A heater that nothing watches although others are watched."""
    machine = subject.machine
    heaters = driven_heaters(machine)
    within = [heater for heater in heaters if _guards_itself(subject, heater)]
    guarded = [heater for heater in heaters if heater in within or _guards_of(machine, heater)]
    if not guarded:
        if heaters:
            yield Skip("no guard is written for any heater; the firmware may guard all of them by itself")
        return
    if any(_may_guard_any(machine, guard) for guard in machine.kind("guard")):
        return
    for heater in heaters:
        if heater in guarded or heater.place is None or (within and heater.unknown):
            continue
        if not (_may_guard_itself(machine, heater) or _may_have_guard(machine, heater)):
            yield Problem(
                heater.place,
                f"nothing watches {heater.title}, while {guarded[0].title} has a guard",
                subject=heater.title,
            )


def _guards_itself(subject: Subject, heater: Part) -> bool:
    """Whether the heater's section surely describes a guard: a rise within a time, or a guard's own word."""
    found = list(_guarding(subject.machine, heater))
    roles = {one.role for one in found}
    return {"guard.rise", "guard.time"} <= roles or any(_speaks_of_guard(subject, one) for one in found)


def _may_guard_itself(machine: Machine, heater: Part) -> bool:
    """Whether the heater's section may describe a guard; two-point control's band is none."""
    by_band = _switches_by_band(machine, heater)
    return any(one.role != "guard.band" or not by_band for one in _guarding(machine, heater))


def _guarding(machine: Machine, heater: Part) -> Iterator[Meaning]:
    for part in (heater, *machine.mates(heater)):
        yield from part.all("guard.")


def _speaks_of_guard(subject: Subject, meaning: Meaning) -> bool:
    lexicon = (subject.words or load_words()).lexicon
    return any(word.concept in ("guard", "watch") for word in lexicon.words(meaning.setting.name))


def _switches_by_band(machine: Machine, heater: Part) -> bool:
    """Whether the heater is said to be controlled in a way that needs a band between on and off."""
    kinds = [one for part in (heater, *machine.mates(heater)) for one in part.all("control.kind")]
    return bool(kinds) and not any(BY_SHARE.search(kind.text) for kind in kinds)


def _guards_of(machine: Machine, heater: Part) -> bool:
    """Whether a guard names the heater, or its sensor; whatever its section was taken for."""
    watched = (heater, *sensors_of(machine, heater))
    if any(tied(machine, part, "guard") for part in watched):
        return True
    return any(mentions(guard, watched) for guard in _guardlike(machine))


def _guardlike(machine: Machine) -> Iterator[Part]:
    """Every part with what only guards have, and no pin."""
    for role in ("guard.rise", "guard.time", "guard.band"):
        for part, _ in machine.index.by_role.get(role, ()):
            if not any(True for one in (part, *machine.mates(part)) for _ in one.all("pin.")):
                yield part


def _may_have_guard(machine: Machine, heater: Part) -> bool:
    """Whether a section that nobody understands names the heater, and has numbers that may be a guard's."""
    watched = (heater, *sensors_of(machine, heater))
    for part in machine.kind("other"):
        bare = all(one.role.startswith("ref.") for one in part.meanings)
        numbered = any(isinstance(read_value(one.value), Number) for one in part.unknown)
        if bare and numbered and mentions(part, watched):
            return True
    return False


def _may_guard_any(machine: Machine, guard: Part) -> bool:
    """A guard that names no part we know may watch any heater."""
    links = list(machine.from_part(guard))
    if any(True for _ in guard.all("guard.")):
        return not any(link.target is not None for link in links)
    return any(link.target is None and link.kind in ("heater", "sensor") for link in links)
