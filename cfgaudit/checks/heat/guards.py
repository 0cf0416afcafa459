"""guard-too-slow: guards that look when it is too late."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.checks.finding import Limits, Problem, Skip, Subject
from cfgaudit.checks.heated_place import IN_WORDS, driven_heaters, heated_place
from cfgaudit.checks.limit_value import number
from cfgaudit.checks.registry import check
from cfgaudit.checks.rule import format_amount
from cfgaudit.facts.guards import Wait, shortest_wait
from cfgaudit.facts.heaters import power_of
from cfgaudit.machine.model import Part
from cfgaudit.physics.heat import energy, free_rise
from cfgaudit.syntax.document import Place


@check("guard-too-slow")
def guard_too_slow(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A guard that waits longer than what it watches needs, or than a hot end stands at full power."""
    seen: set[Place] = set()
    for heater in driven_heaters(subject.machine):
        wait = shortest_wait(subject.machine, heater)
        if wait is None or wait.time.place in seen:
            continue
        reason = _reason(subject, heater, wait, limits)
        if reason:
            seen.add(wait.time.place)
            yield Problem(
                wait.time.place,
                f"the guard of {heater.title} waits {format_amount(wait.seconds)} s{_rise(wait)}, {reason}",
                subject=heater.title,
            )


def _reason(subject: Subject, heater: Part, wait: Wait, limits: Limits) -> str:
    place = heated_place(subject, heater)
    power = power_of(subject.machine, heater)
    heat = energy(power.watts, wait.seconds) if power is not None else None
    if place == "hotend" and heat is not None:
        capacity, bearable = number(limits, "hotend_capacity"), number(limits, "hotend_rise")
        rise = free_rise(heat, capacity)
        if rise > bearable:
            return (
                f"and by then {format_amount(heat)} J can make a hot end of {format_amount(capacity)} J/K "
                f"{format_amount(round(rise))} K hotter, more than {format_amount(bearable)} K"
            )
    longest, what = _longest(place, limits)
    if wait.seconds <= longest:
        return ""
    given = f", in which it gives {format_amount(heat / 1000.0)} kJ" if heat is not None else ""
    return f"longer than the {format_amount(longest)} s that {what} needs at most{given}"


def _longest(place: str | None, limits: Limits) -> tuple[float, str]:
    if place is not None:
        return number(limits, place), f"a {IN_WORDS[place]}"
    return max(number(limits, one) for one in IN_WORDS), "any heater"


def _rise(wait: Wait) -> str:
    kelvin = wait.rise.amount if wait.rise is not None else None
    return f" for {format_amount(kelvin)} K" if kelvin is not None else ""
