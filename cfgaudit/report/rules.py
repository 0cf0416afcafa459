"""The rules as a list and each as a page, in text and JSON."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable, Iterator, Mapping
from itertools import groupby

from cfgaudit.checks.cards import Example
from cfgaudit.checks.finding import Limit
from cfgaudit.checks.rule import HOUSE, Rule, format_limit
from cfgaudit.report.findings import sentence
from cfgaudit.report.json_form import Json
from cfgaudit.report.lines import (
    BLANK,
    Line,
    Piece,
    breadth,
    counted,
    cut,
    line,
    one_line,
    padded,
    visible,
    wrapped,
)

CONCERNS = ("structure", "reference", "wiring", "link", "heat", "motion", "probing", "macro")
OFF = "off"
INDENT = "  "
SEVERITIES = len("warning") + len(INDENT)
TITLE = 24
"""Columns that a title needs beside its rule; in a narrower window it stands below."""


def rules_form(rules: Iterable[Rule], off: Collection[str] = ()) -> Json:
    """Every rule with its texts and limits; ``off`` are the names of those that do not run."""
    return {"rules": [rule_form(rule, off=rule.name in off) for rule in _by_concern(rules)]}


def rule_form(rule: Rule, examples: Iterable[Example] = (), *, off: bool = False) -> Json:
    """One rule with its texts, its limits and its examples."""
    return {
        "rule": rule.name,
        "title": rule.title,
        "severity": OFF if off else rule.severity.value,
        "concern": rule.concern,
        "why": " ".join(rule.why.split()),
        "advice": rule.fill(rule.advice),
        "source": rule.source,
        "limits": {name: _limit_form(limit) for name, limit in rule.limits.items()},
        "examples": [{"bad": one.bad, "note": one.note, "files": dict(one.files)} for one in examples],
    }


def _limit_form(limit: Limit) -> Mapping[str, object]:
    return {"value": limit.value, "unit": limit.unit, "source": limit.source}


def rules_lines(rules: Iterable[Rule], off: Collection[str], width: int) -> Iterator[Line]:
    """The rules by concern: name, severity (``off`` for those that do not run) and title."""
    listed = list(_by_concern(rules))
    column = max((breadth(rule.name) for rule in listed), default=0) + 2 * len(INDENT)
    if width - column - SEVERITIES < TITLE:
        column = 0
    for concern, group in groupby(listed, key=lambda rule: rule.concern):
        yield from wrapped(visible(concern), width, 0, "strong")
        for rule in group:
            yield from _rule_lines(rule, column, width, _severity(rule, off=rule.name in off))
        yield BLANK
    told = f"{counted(len(listed), 'rule')}; cfgaudit explain RULE tells all of one."
    yield from wrapped(told, width, 0)


def _severity(rule: Rule, *, off: bool) -> Piece:
    return Piece(OFF, "faint") if off else Piece(rule.severity.value, rule.severity.value)


def _rule_lines(rule: Rule, column: int, width: int, severity: Piece) -> Iterator[Line]:
    severity = severity._replace(text=padded(severity.text, SEVERITIES))
    name = INDENT + visible(rule.name)
    if column:
        first = line(padded(name, column), severity)
        yield from wrapped(visible(rule.title), width, column + SEVERITIES, first=first)
    else:
        yield from wrapped("", width, 2 * INDENT, first=line(f"{name}  ", severity))
        yield from wrapped(visible(rule.title), width, 2 * INDENT)


def explain_lines(
    rule: Rule, examples: Iterable[Example], width: int, *, off: bool = False
) -> Iterator[Line]:
    """One rule as a page: why, what to do, its limits with their sources, and text that shows it."""
    yield from wrapped(visible(rule.title), width, 0, "strong")
    concern = f"about {visible(rule.concern)}" if rule.concern != HOUSE else "a rule of this house"
    first = line(f"{visible(rule.name)}, ", _severity(rule, off=off), ", ")
    yield from wrapped(concern, width, INDENT, first=first)
    yield from _paragraph("Why it matters", sentence(rule.fill(rule.why)), width)
    yield from _paragraph("What to do", sentence(rule.fill(rule.advice)), width)
    if rule.limits:
        yield from _limits(rule, width)
    if rule.source:
        yield from _paragraph("Source", rule.source, width)
    for example in examples:
        yield from _example_lines(example, width)


def _paragraph(heading: str, text: str, width: int) -> Iterator[Line]:
    yield from _heading(heading, width)
    yield from wrapped(one_line(text), width, INDENT)


def _heading(text: str, width: int) -> Iterator[Line]:
    yield BLANK
    yield from wrapped(one_line(text), width, 0, "strong")


def _limits(rule: Rule, width: int) -> Iterator[Line]:
    """The limits with their sources, and how to change one."""
    yield from _heading("Limits", width)
    for limit in rule.limits.values():
        source = f" ({limit.source})" if limit.source else ""
        told = f"{limit.name} = {format_limit(limit)}{source}"
        yield from wrapped(one_line(told), width, 2 * INDENT, first=INDENT)
    yield from wrapped("To change one, write it into cfgaudit.toml, such as:", width, INDENT)
    yield line(f"{2 * INDENT}[limits]")
    first = next(iter(rule.limits.values()))
    stated = f'"{rule.name}.{first.name}" = {_toml_value(first.value)}'
    yield from wrapped(visible(stated), width, 3 * INDENT, first=2 * INDENT)


def _toml_value(value: object) -> str:
    """A limit as TOML: ``150``, ``[1, 2, 4]``, ``["part", "bay"]``."""
    if isinstance(value, tuple):
        return f"[{', '.join(map(_toml_value, value))}]"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False)
    return repr(value)


def _example_lines(example: Example, width: int) -> Iterator[Line]:
    heading = "Found in" if example.bad else "Not found in"
    yield from _heading(f"{heading}: {example.note}" if example.note else heading, width)
    several = len(example.files) > 1
    for at, (path, text) in enumerate(example.files.items()):
        if several:
            yield from [BLANK] * (at > 0)
            yield from wrapped(f"{visible(path)}:", width, INDENT, "faint")
        marked = {number for file, number in example.places if file == path}
        for number, written in enumerate(text.splitlines(), start=1):
            mark = Piece("▶ ", "error") if number in marked else Piece("  ")
            yield line(INDENT, mark, cut(visible(written), width - len(INDENT) - 2))


def _by_concern(rules: Iterable[Rule]) -> list[Rule]:
    def order(rule: Rule) -> tuple[int, str, str]:
        known = rule.concern in CONCERNS
        return (CONCERNS.index(rule.concern) if known else len(CONCERNS), rule.concern, rule.name)

    return sorted(rules, key=order)
