"""guard-against-heatup and pid-margin-thin: guards and gains held against a measured heat-up."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from cfgaudit.checks.finding import Limits, Problem, Skip, Subject
from cfgaudit.checks.heated_place import driven_heaters, heated_place
from cfgaudit.checks.limit_value import number
from cfgaudit.checks.registry import check
from cfgaudit.checks.rule import format_amount
from cfgaudit.evidence.heating.guarding import (
    MeasuredHeater,
    Watched,
    Watching,
    measured_heater,
    stated_output,
    watch,
)
from cfgaudit.evidence.heating.regulator import (
    COMFORTABLE,
    Gains,
    Margins,
    calming,
    margins,
    margins_text,
)
from cfgaudit.evidence.records.record import MeasurementKind, Record
from cfgaudit.evidence.records.staleness import holding
from cfgaudit.facts.guards import Wait, waits
from cfgaudit.machine.model import Machine, Meaning, Part
from cfgaudit.syntax.value import Number

TUNE = "Let the firmware tune this heater again, and measure a heat-up again."
"""What to do where no number is known to divide the gains by."""
ELSEWHERE = "other"
"""The budget of a heater of which nothing says what it heats."""


class Measured(NamedTuple):
    """A heater, and the record of its heat-up that still holds."""

    part: Part
    record: Record
    heater: MeasuredHeater

    @property
    def when(self) -> str:
        return f"measured {self.record.date.date().isoformat()}"


def _measured(subject: Subject) -> Iterator[Measured]:
    evidence = subject.evidence
    if not evidence.of(MeasurementKind.HEATUP):
        return
    for part in driven_heaters(subject.machine):
        record = holding(evidence, subject.machine, MeasurementKind.HEATUP, part.title)
        heater = measured_heater(record) if record is not None else None
        if record is not None and heater is not None:
            yield Measured(part, record, heater)


@check("guard-against-heatup")
def guard_against_heatup(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A guard that switches a healthy heater off, or looks when the heater is far too hot already."""
    for measured in _measured(subject):
        budget = budget_for(subject, measured.part, limits)
        for wait, watching in watchings(subject.machine, measured.part):
            watched = watch(measured.heater, watching, limit_of(measured.part))
            if watched.trips and wait.rise is not None:
                yield _trips(measured, wait, wait.rise, watched)
            if _looks_first(subject.machine, measured.part, wait) and watched.beyond > budget:
                yield _sleeps(measured, wait, watched, budget)


def _looks_first(machine: Machine, heater: Part, wait: Wait) -> bool:
    return all(wait.seconds <= other.seconds for other in waits(machine, heater))


def _trips(measured: Measured, wait: Wait, rise: Meaning, watched: Watched) -> Problem:
    return Problem(
        rise.place,
        f"{wait.guard.title} wants {format_amount(rise.amount or 0.0, 'K')} within "
        f"{format_amount(wait.seconds, 's')}, but at {watched.hot:.0f} °C {measured.part.title} gains "
        f"{watched.gained:.2g} K in that time ({measured.when}), so a healthy heater is switched off",
        subject=f"{measured.part.title} trips",
        related=(wait.time.place,),
    )


def _sleeps(measured: Measured, wait: Wait, watched: Watched, budget: float) -> Problem:
    over = "where it was measured" if watched.limit is None else "its upper limit"
    return Problem(
        wait.time.place,
        f"where its sensor falls off {measured.part.title} gets to {watched.reaches:.0f} °C before "
        f"{wait.guard.title} looks after {format_amount(wait.seconds, 's')} ({measured.when}), "
        f"{watched.beyond:.0f} K above {over}; {format_amount(budget, 'K')} is bearable",
        subject=f"{measured.part.title} sleeps",
    )


def budget_for(subject: Subject, heater: Part, limits: Limits) -> float:
    """The K above its upper limit that a heater may get while a guard waits, by what it heats."""
    return number(limits, heated_place(subject, heater) or ELSEWHERE)


def watchings(machine: Machine, heater: Part) -> Iterator[tuple[Wait, Watching]]:
    """What the guards of a heater are set to.

    Where one states several times, one may be for the rise and another for how long its target may be missed;
    nothing tells which, so the rise goes with the longest, which any heater meets more easily.
    """
    found = tuple(waits(machine, heater))
    for wait in found:
        longest = max(other.seconds for other in found if other.guard is wait.guard)
        yield wait, _watching(wait, wait.rise if wait.seconds == longest else None)


def _watching(wait: Wait, rise: Meaning | None) -> Watching:
    band = wait.guard.get("guard.band")
    return Watching(
        wait.guard.title,
        wait.seconds,
        rise.amount if rise is not None else None,
        band.amount if band is not None and band.amount is not None and band.amount >= 0 else None,
    )


def limit_of(heater: Part) -> float | None:
    """A heater's upper limit in °C."""
    limit = heater.get("temp.max")
    return limit.amount if limit is not None else None


def gains_of(heater: Part) -> Gains | None:
    """P, I and D as written; None unless P and I are bare numbers from 0, and no written D is anything else.

    Gains of a parallel regulator are written without a unit: an I in seconds is a time of an ideal one.
    """
    amounts = []
    for role in ("pid.p", "pid.i", "pid.d"):
        gain = heater.get(role)
        amounts.append(0.0 if gain is None and role == "pid.d" else _bare(gain))
    p, i, d = amounts
    if p is None or i is None or d is None or min(p, i, d) < 0 or not p:
        return None
    return Gains(p, i, d)


def _bare(meaning: Meaning | None) -> float | None:
    if meaning is None or not isinstance(meaning.value, Number) or meaning.value.unit:
        return None
    return meaning.amount


@check("pid-margin-thin")
def pid_margin_thin(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """Gains with which the measured heater all but swings, where the builder said what full power is.

    No file tells whether I and D are gains or times: it must swing either way.
    """
    for measured in _measured(subject):
        output, gains = stated_output(measured.record), gains_of(measured.part)
        place = measured.part.get("pid.p")
        if output is None or gains is None or place is None:
            continue
        found = margins(measured.heater.plant, gains.of(output))
        thin = thin_margins(limits)
        otherwise = margins(measured.heater.plant, gains.as_times().of(output))
        if is_thin(found, thin) and is_thin(otherwise, thin):
            calm = calming(measured.heater.plant, gains.of(output), _calm(thin))
            much = "" if calm is None else f"; divided by {format_amount(calm.divisor)} they let it rest"
            yield Problem(
                place.place,
                f"with these gains the loop of {measured.part.title} {_thinness(found, thin)} "
                f"({measured.when}){much}",
                subject=measured.part.title,
                advice=TUNE if calm is None else None,
            )


def _calm(thin: Margins) -> Margins:
    """What a change should reach: more than what just is not called thin."""
    return Margins(max(thin.gain, COMFORTABLE.gain), max(thin.phase, COMFORTABLE.phase))


def thin_margins(limits: Limits) -> Margins:
    """The margins below which a loop all but swings."""
    return Margins(number(limits, "gain_margin"), number(limits, "phase_margin"))


def is_thin(found: Margins, thin: Margins) -> bool:
    """Whether a loop swings or all but swings."""
    return found.swings or found.gain < thin.gain or found.phase < thin.phase


def _thinness(found: Margins, thin: Margins) -> str:
    if found.swings:
        return "swings and never comes to rest"
    allowed = f"{format_amount(thin.gain)} and {format_amount(thin.phase)}°"
    return f"has {margins_text(found)}, where {allowed} are the least"
