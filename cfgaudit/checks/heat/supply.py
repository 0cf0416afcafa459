"""supply-overloaded: more can be on together than a power supply bears for long."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from cfgaudit.checks.finding import Limits, Problem, Severity, Skip, Subject
from cfgaudit.checks.limit_value import number
from cfgaudit.checks.registry import check
from cfgaudit.checks.rule import format_amount
from cfgaudit.facts.supplies import Load, loaded_supplies


@check("supply-overloaded")
def supply_overloaded(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """What can be on together takes more than the usual share of a supply's rating.

    A note only where it takes loads that do not say that they run on this supply.
    """
    most = number(limits, "most")
    for supply in loaded_supplies(subject.machine):
        if supply.watts <= most * supply.rating:
            continue
        sure = sum(load.watts for load in supply.loads if load.sure) > most * supply.rating
        yield Problem(
            supply.stated.place,
            f"{supply.part.title} is rated {format_amount(supply.rating)} W, and {_listed(supply.loads)} "
            f"can be on together: {supply.watts:.0f} W, {supply.watts / supply.rating:.0%} of it",
            subject=supply.part.title,
            related=tuple(dict.fromkeys(one.place for load in supply.loads for one in load.origin)),
            advice=None if sure else _doubt(supply.loads),
            severity=None if sure else Severity.NOTE,
        )


def _listed(loads: Iterable[Load]) -> str:
    texts = [f"{load.title} {load.watts:.0f} W" for load in loads]
    return f"{', '.join(texts[:-1])} and {texts[-1]}" if len(texts) > 1 else texts[0]


def _doubt(loads: Iterable[Load]) -> str:
    unsaid = " or ".join(load.title for load in loads if not load.sure)
    return f"Where mains or another supply feeds {unsaid}, write the volts there; else take a larger supply."
