"""limit-beyond-sensor, sensor-open-undetected, sensor-short-undetected: what a heater's sensor can tell."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.checks.finding import Limits, Problem, Severity, Skip, Subject
from cfgaudit.checks.limit_value import number
from cfgaudit.checks.registry import check
from cfgaudit.checks.rule import format_amount
from cfgaudit.facts.fact import fact_name
from cfgaudit.facts.guards import watchers
from cfgaudit.facts.sensing import Sensing, sensings
from cfgaudit.facts.sensor_types import kind_text, type_of
from cfgaudit.machine.celsius import celsius
from cfgaudit.machine.model import Machine, Meaning, Part
from cfgaudit.physics.sensors import ROOM
from cfgaudit.syntax.document import Place


@check("limit-beyond-sensor")
def limit_beyond_sensor(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """An upper limit at which the sensor itself is spoilt, or beyond which its type says nothing."""
    seen: set[Place] = set()
    for sensing in sensings(subject.machine, "heater", "sensor"):
        highest, sort = sensing.highest, type_of(sensing.kind)
        top = celsius(highest)
        if highest is None or top is None or sort is None or highest.place in seen:
            continue
        seen.add(highest.place)
        if top > sort.highest + number(limits, "headroom"):
            yield Problem(
                highest.place,
                f"{sensing.part.title} may reach {format_amount(top)} °C, but its sensor, "
                f"{kind_text(sensing.kind)}, is made for {format_amount(sort.highest)} °C",
                subject=sensing.part.title,
                related=tuple(one.place for one in sensing.stated),
            )


@check("sensor-open-undetected")
def sensor_open_undetected(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """An unplugged sensor reads as a temperature between the limits, so nothing stops the heater."""
    yield from _undetected(subject, "open_reads", "an unplugged")


@check("sensor-short-undetected")
def sensor_short_undetected(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A shorted sensor reads as a temperature between the limits."""
    yield from _undetected(subject, "short_reads", "a shorted")


def _undetected(subject: Subject, quantity: str, broken: str) -> Iterator[Problem]:
    for sensing in sensings(subject.machine, "heater"):
        fact = subject.facts.get(fact_name(sensing.part, quantity))
        seen = fact.value if fact is not None else None
        if sensing.divider is None or not isinstance(seen, float):
            continue
        missed = _missed_limit(sensing, seen)
        if missed is None:
            continue
        (limit, at), heater, divider = missed, sensing.part, sensing.divider
        yield Problem(
            limit.place,
            f"{broken} sensor of {heater.title}, {kind_text(sensing.kind)} with a pull-up of "
            f"{format_amount(divider.pullup)} Ω, reads {format_amount(round(seen, 1))} °C in {divider.bits} "
            f"bits, not {'below' if seen < ROOM else 'above'} the limit of {format_amount(at)} °C",
            subject=heater.title,
            related=(divider.stated.place,),
            severity=None if _alone_unwatched(subject.machine, heater) else Severity.WARNING,
        )


def _missed_limit(sensing: Sensing, seen: float) -> tuple[Meaning, float] | None:
    """The limit that a broken sensor should pass and does not; None where one trips, or none is stated.

    Both the heater's and its sensor's limits may trip.
    """
    parts = (sensing.part, sensing.holder) if sensing.holder is not sensing.part else (sensing.part,)
    lows, highs = _stated(parts, "temp.min"), _stated(parts, "temp.max")
    if any(seen < low for _, low in lows) or any(seen > high for _, high in highs):
        return None
    missed = lows if seen < ROOM else highs
    return missed[0] if missed else None


def _stated(parts: tuple[Part, ...], role: str) -> list[tuple[Meaning, float]]:
    meanings = (one for part in parts for one in part.all(role))
    return [(one, at) for one in meanings if (at := celsius(one)) is not None]


def _alone_unwatched(machine: Machine, heater: Part) -> bool:
    """Whether nothing written watches the heater, though others are watched.

    Where no guard is written at all the firmware may have one of its own.
    """
    others = (other for other in machine.kind("heater") if other is not heater)
    watched = any(True for other in others for _ in watchers(machine, other))
    return watched and not any(True for _ in watchers(machine, heater))
