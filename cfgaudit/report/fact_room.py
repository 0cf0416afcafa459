"""The limits that apply to a fact and the room that they leave, in words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from cfgaudit.checks.fact_limits import FactLimit
from cfgaudit.checks.rule import format_amount, format_several
from cfgaudit.facts.fact import Fact
from cfgaudit.report.json_form import Json
from cfgaudit.report.lines import one_line

ASKED = {
    "at_least": "at least {}",
    "at_most": "at most {}",
    "above": "above {}",
    "below": "below {}",
    "between": "from {}",
    "one_of": "one of {}",
}


def room_texts(fact: Fact, limits: Iterable[FactLimit]) -> Iterator[str]:
    """``at most 0.1 mm, room 0.0456 mm (accel-beyond-shaper)``, one text a limit.

    Then what the fact itself is a limit of: ``top acceleration 5000 mm/s² stays below, room 4188 mm/s²``.
    """
    for one in limits:
        yield f"{asked_text(fact, one)}{_room(one.room, fact.unit)} ({one.rule})"
    if fact.bounds is not None and (room := bounded_room(fact)) is not None:
        setting = f"{fact.bounds.setting.name} {one_line(fact.bounds.text)}"
        yield f"limits {setting}{_room(room, fact.unit)}"


def asked_text(fact: Fact, limit: FactLimit) -> str:
    """``at most 0.1 mm``; ``from 1 to 3 mm``."""
    if limit.kind == "between":
        low, high = (format_amount(one) for one in (min(limit.limit), max(limit.limit)))
        return f"from {low} to {format_several((high,), fact.unit)}"
    return ASKED[limit.kind].format(format_several(limit.limit, fact.unit))


def bounded_room(fact: Fact) -> float | None:
    """How far the setting that a fact bounds may still go; None where it bounds none that is a number."""
    amount = fact.bounds.amount if fact.bounds is not None else None
    return fact.value - amount if amount is not None and isinstance(fact.value, float) else None


def _room(room: float | None, unit: str) -> str:
    if room is None:
        return ""
    return f", room {format_amount(room, unit)}" if room >= 0 else f", {format_amount(-room, unit)} too far"


def limit_form(limit: FactLimit) -> Json:
    """A limit for JSON."""
    return {
        "rule": limit.rule,
        "asks": limit.kind,
        "limit": limit.limit[0] if len(limit.limit) == 1 else list(limit.limit),
        "room": limit.room,
        "source": limit.source,
    }
