"""limits-inverted and limit-beyond-practice: temperature limits that cannot be meant."""

from __future__ import annotations

import re
from collections.abc import Iterator

from cfgaudit.checks.conflict import at_later
from cfgaudit.checks.finding import Limits, Problem, Skip, Subject
from cfgaudit.checks.heated_place import IN_WORDS, heated_place
from cfgaudit.checks.limit_value import number
from cfgaudit.checks.registry import check
from cfgaudit.checks.rule import format_amount
from cfgaudit.checks.ties import tied
from cfgaudit.machine.celsius import celsius
from cfgaudit.machine.model import Machine, Meaning, Part
from cfgaudit.syntax.document import Place

LIMITED = ("heater", "sensor")
LINER = re.compile(r"ptfe", re.IGNORECASE)
DENIED = re.compile(r"\b(?:no|not|without|none|false|off|free|all.metal)\b", re.IGNORECASE)


@check("limits-inverted")
def limits_inverted(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A lower temperature limit that is not below the upper one leaves no temperature to work at."""
    seen: set[Place] = set()
    for part in subject.machine.kind(*LIMITED):
        low, high = _limits(subject.machine, part)
        if low is None or high is None or low.place in seen or _states_two(part):
            continue
        if _swapped(low, high):
            seen.add(low.place)
            place, related = at_later(subject.tree, low.place, high.place)
            yield Problem(
                place,
                f"the lowest temperature of {part.title}, {low.text.strip()}, is not below its highest, "
                f"{high.text.strip()}",
                subject=part.title,
                related=related,
            )


def _states_two(part: Part) -> bool:
    """Whether a part states a limit twice, so that one of the two is another thing."""
    return any(len({one.place for one in part.all(role)}) > 1 for role in ("temp.min", "temp.max"))


def _limits(machine: Machine, part: Part) -> tuple[Meaning | None, Meaning | None]:
    """Lower and upper limit of a part; what a heater leaves out its own sensor may state."""
    low, high = part.get("temp.min"), part.get("temp.max")
    if part.kind != "heater" or (low is None) == (high is None):
        return low, high
    sensors = tied(machine, part, "sensor")
    if len(sensors) != 1:
        return low, high
    return low or sensors[0].get("temp.min"), high or sensors[0].get("temp.max")


def _swapped(low: Meaning, high: Meaning) -> bool:
    """Whether nothing lies between the two; twice zero is a limit that is switched off."""
    lowest, highest = celsius(low), celsius(high)
    return lowest is not None and highest is not None and lowest >= highest and (lowest, highest) != (0, 0)


@check("limit-beyond-practice")
def limit_beyond_practice(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """An upper limit above what the heated thing stands in anybody's practice."""
    for heater in subject.machine.kind("heater"):
        highest = heater.get("temp.max")
        reach = celsius(highest)
        if highest is None or reach is None:
            continue
        bound, what = _practice(subject, heater, limits)
        if reach > bound:
            yield Problem(
                highest.place,
                f"{heater.title} may reach {highest.text.strip()}, "
                f"but {what} stays below {format_amount(bound)} °C",
                subject=heater.title,
            )


def _practice(subject: Subject, heater: Part, limits: Limits) -> tuple[float, str]:
    """The bound in °C for what the part heats, and that thing in words."""
    place = heated_place(subject, heater)
    if place == "hotend" and _is_lined(heater):
        return number(limits, "ptfe"), "a hot end lined with PTFE"
    if place is not None:
        return number(limits, place), f"a {IN_WORDS[place]}"
    return max(number(limits, name) for name in ("bed", "chamber", "hotend")), "every heater of the trade"


def _is_lined(heater: Part) -> bool:
    """Whether a setting of the section says that there is PTFE in the hot path."""
    return any(
        LINER.search(f"{one.name} {one.value}") and not DENIED.search(f"{one.name} {one.value}")
        for one in heater.section.settings
    )
