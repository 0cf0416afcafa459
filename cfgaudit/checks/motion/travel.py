"""Travel limits that contradict one another or the place where the axis homes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from cfgaudit.checks.conflict import at_later
from cfgaudit.checks.finding import Limits, Problem, Skip, Subject
from cfgaudit.checks.registry import check
from cfgaudit.checks.rule import format_amount
from cfgaudit.checks.travel import axis_lengths, swapped, travel_bounds
from cfgaudit.machine.model import Machine, Meaning
from cfgaudit.machine.pieces import split_words


@check("travel-inverted")
def travel_inverted(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """The lower end of an axis's travel lies above the upper end."""
    for letter, low, high in _limit_pairs(subject.machine):
        if swapped(low, high):
            place, related = at_later(subject.tree, low.place, high.place)
            yield Problem(
                place,
                f"the travel of {letter} begins at {_mm(low)} and ends at {_mm(high)}, which is lower",
                subject=f"axis {letter} {low.setting.section}",
                related=related,
            )


def _limit_pairs(machine: Machine) -> Iterator[tuple[str, Meaning, Meaning]]:
    """Lower and upper limits that belong together: those of one section, else the only ones of the axis."""
    lows = list(axis_lengths(machine, "travel.min"))
    highs = list(axis_lengths(machine, "travel.max"))
    for letter, low in lows:
        rivals = [high for other, high in highs if other == letter]
        mates = [high for high in rivals if high.setting.section == low.setting.section]
        if mates:
            yield letter, low, _nearest_in_words(low, mates)
        elif len(rivals) == 1:
            yield letter, low, rivals[0]


def _nearest_in_words(low: Meaning, highs: Sequence[Meaning]) -> Meaning:
    """Of a section's upper limits the one that shares most words with the lower one, else the last."""
    words = set(split_words(low.setting.name))
    return max(reversed(highs), key=lambda high: len(words & set(split_words(high.setting.name))))


@check("home-outside-travel")
def home_outside_travel(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """An axis believes, once homed, to be where it may not be."""
    bounds = travel_bounds(subject.machine)
    for letter, home in axis_lengths(subject.machine, "home.position"):
        limit = bounds[letter].beyond(home.amount or 0.0) if letter in bounds else None
        if limit is not None:
            place, related = at_later(subject.tree, home.place, limit.place)
            yield Problem(
                place,
                f"{bounds[letter]}, homes at {_mm(home)}",
                subject=f"axis {letter}",
                related=related,
            )


def _mm(meaning: Meaning) -> str:
    return format_amount(meaning.amount or 0.0, "mm")
