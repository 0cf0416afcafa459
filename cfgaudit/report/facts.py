"""Facts as text and JSON."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import groupby

from cfgaudit.checks.rule import format_amount
from cfgaudit.facts.fact import Amount, Fact
from cfgaudit.machine.model import Meaning
from cfgaudit.report.json_form import Json, place_form
from cfgaudit.report.lines import BLANK, Line, Piece, counted, cut, line, visible


def facts_form(main: str, facts: Iterable[Fact]) -> Json:
    """The report of ``facts``."""
    return {
        "main": main,
        "facts": [
            {
                "fact": fact.name,
                "value": fact.value,
                "unit": fact.unit,
                "from": [_origin_form(one) for one in fact.origin],
            }
            for fact in facts
        ],
    }


def _origin_form(meaning: Meaning) -> Json:
    return {
        "section": meaning.setting.section,
        "setting": meaning.setting.name,
        "value": meaning.text,
        "where": place_form(meaning.place),
    }


def facts_lines(facts: Iterable[Fact], width: int) -> Iterator[Line]:
    """The facts by part: name, value with unit, and what they came from."""
    listed = sorted(facts, key=lambda fact: fact.name.rpartition(".")[0])
    for part, group in groupby(listed, key=lambda fact: fact.name.rpartition(".")[0]):
        members = list(group)
        yield line(Piece(visible(part.replace(".", " ")), "strong"))
        longest = max(len(fact.name.rpartition(".")[2]) for fact in members)
        for fact in members:
            yield from _fact_lines(fact, longest, width)
        yield BLANK
    yield line(f"{counted(len(listed), 'fact')}.")


def _fact_lines(fact: Fact, longest: int, width: int) -> Iterator[Line]:
    name = fact.name.rpartition(".")[2].replace("_", " ")
    shown = f"  {name:<{longest}}  {amount_text(fact.value, fact.unit)}"
    sources = ", ".join(dict.fromkeys(f"{one.setting.name} {one.text}" for one in fact.origin))
    yield line(cut(visible(f"{shown}  from {' '.join(sources.split())}" if sources else shown), width))


def amount_text(amount: Amount, unit: str) -> str:
    """A number, a pair or a list of points with the unit behind it."""
    if not isinstance(amount, tuple):
        return format_amount(amount, unit)
    if amount and isinstance(amount[0], tuple):
        points = [f"({_joined(point)})" for point in amount if isinstance(point, tuple)]
        few = points if len(points) <= 4 else [*points[:2], "…", points[-1]]
        return f"{counted(len(points), 'point')}: {' '.join(few)} {unit}".rstrip()
    return f"{_joined(amount)} {unit}".rstrip()


def _joined(amounts: tuple[object, ...]) -> str:
    return ", ".join(format_amount(one) for one in amounts if isinstance(one, (int, float)))
