"""Facts as text and JSON."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import groupby

from cfgaudit.checks.fact_limits import FactLimit
from cfgaudit.checks.rule import format_amount
from cfgaudit.facts.fact import Amount, Fact
from cfgaudit.machine.model import Meaning
from cfgaudit.report.fact_room import room_texts
from cfgaudit.report.json_form import Json, place_form
from cfgaudit.report.lines import (
    BLANK,
    Line,
    breadth,
    counted,
    one_line,
    padded,
    visible,
    wrapped,
)

INDENT = "  "
SHORT = 20
"""Columns. A longer amount stands on lines of its own."""
NAMED_AT_MOST = 8
"""Settings that are named; of more only the number is."""
POINTS_AT_MOST = 6
SOURCES = 28
"""Columns that the sources need beside the amount; in a narrower window they stand below it."""
FROM = "from "

LimitsOf = Callable[[Fact], Sequence[FactLimit]]


def no_limits(fact: Fact) -> Sequence[FactLimit]:
    """Where no rules are at hand."""
    return ()


def facts_form(facts: Iterable[Fact]) -> Json:
    """The report of ``facts``."""
    return {"facts": [fact_form(fact) for fact in facts]}


def fact_form(fact: Fact) -> Json:
    """One fact, and the settings that it comes from."""
    return {
        "fact": fact.name,
        "value": fact.value,
        "unit": fact.unit,
        "from": [_origin_form(one) for one in fact.origin],
    }


def _origin_form(meaning: Meaning) -> Json:
    return {
        "section": meaning.setting.section,
        "setting": meaning.setting.name,
        "value": meaning.text,
        "where": place_form(meaning.place),
    }


def facts_lines(facts: Iterable[Fact], width: int, limits_of: LimitsOf = no_limits) -> Iterator[Line]:
    """The facts part by part: quantity, amount with unit, the settings that it came from, limits and room."""
    listed = sorted(facts, key=lambda fact: fact.name.rpartition(".")[0])
    for part, group in groupby(listed, key=lambda fact: fact.name.rpartition(".")[0]):
        yield from wrapped(visible(part.replace(".", " ")), width, 0, "strong")
        yield from _part_lines(list(group), width, limits_of)
        yield BLANK
    told = f"{counted(len(listed), 'fact')}."
    if listed:
        told += f" In full the first one's name is {visible(listed[0].name)}; rules of your own and --only"
        told += " go by such names, and --explain works one out."
    yield from wrapped(told, width, 0)


def _part_lines(facts: Sequence[Fact], width: int, limits_of: LimitsOf) -> Iterator[Line]:
    quantities = [_quantity(fact) for fact in facts]
    amounts = [amount_text(fact.value, fact.unit) for fact in facts]
    column = max(map(breadth, quantities)) + 2 * len(INDENT)
    room = max((breadth(amount) for amount in amounts if breadth(amount) <= SHORT), default=0)
    for quantity, amount, fact in zip(quantities, amounts, facts, strict=True):
        opening = padded(INDENT + quantity, column)
        told, rooms = _told(fact.origin), [visible(one) for one in room_texts(fact, limits_of(fact))]
        if breadth(amount) <= SHORT and width - column - room >= SOURCES:
            opening += padded(amount, room + len(INDENT))
            indent = breadth(opening)
            yield from wrapped(told, width, indent + len(FROM), first=opening)
        else:
            yield from wrapped(amount, width, column, first=opening)
            indent = 2 * len(INDENT)
            if told:
                yield from wrapped(told, width, indent + len(FROM), first=" " * indent)
        for one in rooms:
            yield from wrapped(one, width, indent + len(FROM), "faint", first=" " * indent)


def _quantity(fact: Fact) -> str:
    return visible(fact.name.rpartition(".")[2].replace("_", " "))


def _told(origin: Sequence[Meaning]) -> str:
    """``from lowest 0, highest 470``."""
    sources = dict.fromkeys(f"{one.setting.name} {one_line(one.text)}".rstrip() for one in origin)
    if len(sources) > NAMED_AT_MOST:
        return f"{FROM}{counted(len(sources), 'setting')}"
    gap = "; " if any("," in one for one in sources) else ", "
    return FROM + visible(gap.join(sources)) if sources else ""


def amount_text(amount: Amount, unit: str) -> str:
    """A number, a pair or a list of points with the unit behind it."""
    unit = f"per {unit[2:]}" if unit.startswith("1/") else unit
    if not isinstance(amount, tuple):
        return format_amount(amount, unit)
    if amount and isinstance(amount[0], tuple):
        points = [f"({_joined(point)})" for point in amount if isinstance(point, tuple)]
        few = points if len(points) <= POINTS_AT_MOST else [*points[: POINTS_AT_MOST - 1], "…", points[-1]]
        return f"{counted(len(points), 'point')}: {' '.join(few)} {unit}".rstrip()
    return f"{_joined(amount)} {unit}".rstrip()


def _joined(amounts: tuple[object, ...]) -> str:
    return ", ".join(format_amount(one) for one in amounts if isinstance(one, (int, float)))
