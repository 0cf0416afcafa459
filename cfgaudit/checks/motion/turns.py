"""Travel per turn that no belt and no screw has."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.checks.finding import Limits, Problem, Skip, Subject
from cfgaudit.checks.limit_value import number, numbers
from cfgaudit.checks.registry import check
from cfgaudit.checks.rule import format_amount, format_several
from cfgaudit.checks.travel import axis_lengths

STRAIGHT = "xyzuvw"
"""The letters of straight axes; the others turn, or feed filament."""


@check("travel-per-turn-odd")
def travel_per_turn_odd(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """Neither a common lead nor a whole number of teeth of a common belt. A feeder's wheel has any size."""
    leads, pitches = numbers(limits, "leads"), numbers(limits, "pitches")
    slack = number(limits, "tolerance")
    for letter, turn in axis_lengths(subject.machine, "travel.turn"):
        distance = turn.amount or 0.0
        if letter not in STRAIGHT or distance <= 0:
            continue
        screw = any(abs(distance - lead) <= slack for lead in leads)
        belt = any(abs(distance - round(distance / pitch) * pitch) <= slack for pitch in pitches)
        if not screw and not belt:
            yield Problem(
                turn.place,
                f"{letter} moves {format_amount(distance, 'mm')} a turn: no lead of "
                f"{format_several(leads, 'mm')}, and no whole number of teeth of a {format_several(pitches)} "
                "mm belt",
                subject=f"axis {letter} {turn.setting.section}",
            )
