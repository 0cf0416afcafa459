"""fan-never-runs: fans whose own settings keep them off for ever."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.checks.finding import Limits, Problem, Skip, Subject
from cfgaudit.checks.registry import check
from cfgaudit.checks.ties import unsettled
from cfgaudit.machine.celsius import celsius
from cfgaudit.machine.model import Machine, Meaning, Part
from cfgaudit.machine.pieces import split_words
from cfgaudit.vocabulary.words import trade


@check("fan-never-runs")
def fan_never_runs(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A fan that waits for a temperature that nothing may reach, or that gets no power at the most."""
    for fan in subject.machine.kind("fan"):
        yield from _without_power(fan)
        start = fan.get("temp.trigger")
        at, tops = celsius(start), _tops(subject.machine, fan)
        if start is None or at is None or not tops:
            continue
        part, top = max(tops, key=lambda one: celsius(one[1]) or 0)
        if at > (celsius(top) or 0):
            yield Problem(
                start.place,
                f"{fan.title} starts at {start.text.strip()}, but {part.title} ends at {top.text.strip()}",
                subject=f"{fan.title} {part.title}",
                related=(top.place,),
            )


def _tops(machine: Machine, fan: Part) -> list[tuple[Part, Meaning]]:
    """The parts whose temperature the fan follows, with their upper limits; none where one is not known."""
    links = [link for link in machine.from_part(fan) if link.kind in ("heater", "sensor")]
    if any(unsettled(link) for link in links):
        return []
    parts = [link.target for link in links if link.target is not None]
    tops = [(part, part.get("temp.max")) for part in parts]
    known = [(part, top) for part, top in tops if top is not None and celsius(top) is not None]
    return known if len(known) == len(parts) else []


def _without_power(fan: Part) -> Iterator[Problem]:
    for most in fan.all("power.max"):
        if most.amount == 0 and _says_most(most.setting.name):
            yield Problem(
                most.place,
                f"{fan.title} gets {most.text.strip()} at the most, so it stands still",
                subject=f"{fan.title} power",
            )


def _says_most(name: str) -> bool:
    """Whether a setting's name speaks of a limit: a plain ``speed`` of 0 may be the one to begin with."""
    folded = f" {' '.join(split_words(name))} "
    return any(f" {word} " in folded for word in trade()["words"]["max"])
