"""A fact as a page: its formula, the numbers put in, where they are written, its limits and its source."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from cfgaudit.checks.fact_limits import FactLimit
from cfgaudit.facts.fact import Fact
from cfgaudit.machine.model import Meaning
from cfgaudit.report.fact_room import bounded_room, limit_form, room_texts
from cfgaudit.report.facts import amount_text, fact_form
from cfgaudit.report.json_form import Json, place_form
from cfgaudit.report.lines import BLANK, Line, breadth, one_line, padded, visible, wrapped
from cfgaudit.report.worked import term_texts, worked

INDENT = "  "
SAYING = 24
"""Columns that a setting needs beside its place; in a narrower window the place stands above it."""


def fact_page_form(fact: Fact, limits: Sequence[FactLimit]) -> Json:
    """All that the page says."""
    bounds = fact.bounds
    return {
        **fact_form(fact),
        "formula": fact.formula,
        "terms": [{"symbol": one.symbol, "value": one.amount, "unit": one.unit} for one in fact.terms],
        "worked": worked(fact.formula, fact.terms),
        "source": fact.source,
        "limits": [limit_form(one) for one in limits],
        "bounds": None
        if bounds is None
        else {
            "section": bounds.setting.section,
            "setting": bounds.setting.name,
            "value": bounds.text,
            "room": bounded_room(fact),
            "where": place_form(bounds.place),
        },
    }


def fact_page_lines(fact: Fact, limits: Sequence[FactLimit], width: int) -> Iterator[Line]:
    """The page."""
    kind, name, quantity = fact.name.split(".")
    title = f"{kind} {name}: {quantity.replace('_', ' ')}"
    yield from wrapped(visible(title), width, 0, "strong")
    yield from wrapped(visible(amount_text(fact.value, fact.unit)), width, INDENT)
    yield from _reckoning(fact, width)
    yield from _sources(fact.origin, width)
    rooms = list(room_texts(fact, limits))
    if rooms:
        yield from _heading("Limits and room", width)
        for text in rooms:
            yield from wrapped(visible(text), width, 2 * INDENT, first=INDENT)
        for limit in limits:
            yield from wrapped(one_line(f"{limit.rule}: {limit.source}"), width, 2 * INDENT, first=INDENT)
    if fact.source:
        yield from _heading("Source of the formula", width)
        yield from wrapped(one_line(fact.source), width, INDENT)


def _reckoning(fact: Fact, width: int) -> Iterator[Line]:
    if not fact.formula:
        return
    yield from _heading("Formula", width)
    yield from wrapped(visible(fact.formula), width, 2 * INDENT, first=INDENT)
    numbers, amount = worked(fact.formula, fact.terms), amount_text(fact.value, fact.unit)
    if numbers not in (None, amount):
        done = f"= {numbers} = {amount}"
        yield from wrapped(visible(done), width, 2 * INDENT, first=INDENT)
    for text in term_texts(fact.terms):
        yield from wrapped(visible(text), width, 3 * INDENT, first=2 * INDENT)


def _sources(origin: Sequence[Meaning], width: int) -> Iterator[Line]:
    """The settings that it comes from, each with its place."""
    if not origin:
        return
    yield from _heading("Comes from", width)
    places = [visible(f"{one.place.file}:{one.place.line}") for one in origin]
    column = max(map(breadth, places)) + 2 * len(INDENT)
    for place, one in zip(places, origin, strict=True):
        said = one_line(f"[{one.setting.section}] {one.setting.name} {one.text}")
        if width - column >= SAYING:
            yield from wrapped(said, width, column, first=padded(INDENT + place, column))
        else:
            yield from wrapped(place, width, INDENT)
            yield from wrapped(said, width, 2 * INDENT)


def _heading(text: str, width: int) -> Iterator[Line]:
    yield BLANK
    yield from wrapped(text, width, 0, "strong")
