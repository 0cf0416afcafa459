"""Fans that are missing or too late: cold-side-fan-missing, cold-side-fan-late, circulation-fan-missing."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.checks.fan_ties import FANS, fans_of, has_job, may_serve, says_so
from cfgaudit.checks.finding import Limits, Problem, Skip, Subject
from cfgaudit.checks.heated_place import driven_heaters, heated_place
from cfgaudit.checks.limit_value import number, words
from cfgaudit.checks.registry import check
from cfgaudit.checks.rule import format_amount
from cfgaudit.checks.ties import vague
from cfgaudit.machine.celsius import celsius
from cfgaudit.machine.model import Machine, Meaning, Part


@check("cold-side-fan-missing")
def cold_side_fan_missing(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A hot end without a fan for its cold side, on a machine that binds fans to heaters."""
    for heater, bound in _without_fan(subject, "hotend", words(limits, "other_jobs")):
        yield Problem(
            heater.place or bound.section.openings[0].place,
            f"no fan runs with {heater.title}, while {bound.title} has one",
            subject=heater.title,
        )


@check("circulation-fan-missing")
def circulation_fan_missing(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A chamber heater that no fan moves air over, on a machine that binds fans to heaters."""
    for heater, bound in _without_fan(subject, "chamber", words(limits, "other_jobs")):
        yield Problem(
            heater.place or bound.section.openings[0].place,
            f"no fan moves air over {heater.title}, while {bound.title} has a fan",
            subject=heater.title,
        )


def _without_fan(subject: Subject, place: str, jobs: tuple[str, ...]) -> Iterator[tuple[Part, Part]]:
    """Heaters of that place that have no fan, each with another heater that has one by a setting.

    Silent where a fan's section holds words or names that we do not know, and where a fan is left that may
    be the one.
    """
    machine = subject.machine
    heaters = driven_heaters(machine)
    bound = [heater for heater in heaters if says_so(machine, heater)]
    if not bound or vague(machine, *FANS):
        return
    if any(may_serve(subject, fan, place, jobs) for fan in machine.kind("fan")):
        return
    for heater in heaters:
        if heated_place(subject, heater) != place or fans_of(machine, heater) or heater.unknown:
            continue
        if heater.get("pin.fan") is None and not _names_a_fan(machine, heater):
            yield heater, bound[0]


def _names_a_fan(machine: Machine, heater: Part) -> bool:
    return any(True for _ in machine.from_part(heater, "fan"))


@check("cold-side-fan-late")
def cold_side_fan_late(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """Every fan of a hot end starts above the temperature at which filament softens in its cold side."""
    machine, latest = subject.machine, number(limits, "latest")
    for heater in machine.kind("heater"):
        if heated_place(subject, heater) != "hotend":
            continue
        fans = [fan for fan in fans_of(machine, heater) if not has_job(fan, words(limits, "other_jobs"))]
        starts = [start for fan in fans if (start := fan.get("temp.trigger")) is not None]
        if not starts or len(starts) < len(fans) or not all(_is_above(start, latest) for start in starts):
            continue
        start, fan = min(zip(starts, fans, strict=True), key=lambda one: celsius(one[0]) or 0)
        yield Problem(
            start.place,
            f"{fan.title} starts when {heater.title} is at {start.text.strip()}, "
            f"later than at {format_amount(latest)} °C",
            subject=f"{fan.title} {heater.title}",
        )


def _is_above(start: Meaning, latest: float) -> bool:
    at = celsius(start)
    return at is not None and at > latest
