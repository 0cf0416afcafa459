"""The rules as a list and each as a page, in text and JSON."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import groupby

from cfgaudit.checks.cards import Example
from cfgaudit.checks.finding import Limit
from cfgaudit.checks.rule import Rule, format_limit
from cfgaudit.report.json_form import Json
from cfgaudit.report.lines import BLANK, Line, Piece, counted, cut, line, visible, wrapped

CONCERNS = ("structure", "reference", "wiring", "link", "heat", "motion", "probing", "macro")
INDENT = "  "


def rules_form(rules: Iterable[Rule]) -> Json:
    """Every rule with its texts and limits."""
    return {"rules": [rule_form(rule) for rule in _by_concern(rules)]}


def rule_form(rule: Rule, examples: Iterable[Example] = ()) -> Json:
    """One rule with its texts, its limits and its examples."""
    return {
        "rule": rule.name,
        "title": rule.title,
        "severity": rule.severity.value,
        "concern": rule.concern,
        "why": " ".join(rule.why.split()),
        "advice": rule.fill(rule.advice),
        "source": rule.source,
        "limits": {name: _limit_form(limit) for name, limit in rule.limits.items()},
        "examples": [{"bad": one.bad, "note": one.note, "files": dict(one.files)} for one in examples],
    }


def _limit_form(limit: Limit) -> Mapping[str, object]:
    return {"value": limit.value, "unit": limit.unit, "source": limit.source}


def rules_lines(rules: Iterable[Rule], width: int) -> Iterator[Line]:
    """The rules by concern, a line each."""
    listed = list(_by_concern(rules))
    longest = max((len(rule.name) for rule in listed), default=0)
    for concern, group in groupby(listed, key=lambda rule: rule.concern):
        yield line(Piece(concern, "strong"))
        for rule in group:
            severity = Piece(f"{rule.severity.value:<8}", rule.severity.value)
            yield line(
                INDENT, f"{rule.name:<{longest}}  ", severity, f" {cut(rule.title, width - longest - 13)}"
            )
        yield BLANK
    yield line(f"{counted(len(listed), 'rule')}; cfgaudit explain RULE tells all of one.")


def explain_lines(rule: Rule, examples: Iterable[Example], width: int) -> Iterator[Line]:
    """One rule as a page: why, what to do, its limits with their sources, and text that shows it."""
    yield line(Piece(rule.title, "strong"))
    yield line(f"{rule.name}, ", Piece(rule.severity.value, rule.severity.value), f", about {rule.concern}")
    yield from _paragraph("Why it matters", rule.fill(rule.why), width)
    yield from _paragraph("What to do", rule.fill(rule.advice), width)
    if rule.limits:
        yield from _heading("Limits")
        for limit in rule.limits.values():
            yield from _limit_lines(rule.name, limit, width)
    if rule.source:
        yield from _paragraph("Source", rule.source, width)
    for example in examples:
        yield from _example_lines(example, width)


def _paragraph(heading: str, text: str, width: int) -> Iterator[Line]:
    yield from _heading(heading)
    yield from wrapped(text, width, INDENT)


def _heading(text: str) -> Iterator[Line]:
    yield BLANK
    yield line(Piece(text, "strong"))


def _limit_lines(rule: str, limit: Limit, width: int) -> Iterator[Line]:
    told = f"{limit.name} = {format_limit(limit)}" + (f" ({limit.source})" if limit.source else "")
    yield from wrapped(told, width, f"{INDENT}  ", first=INDENT)
    value = limit.value if isinstance(limit.value, (int, float)) else list(limit.value)
    if isinstance(value, (int, float)):
        yield line(f'{INDENT}  to change it: [limits] "{rule}.{limit.name}" = {value:g} in cfgaudit.toml')


def _example_lines(example: Example, width: int) -> Iterator[Line]:
    heading = "Found in" if example.bad else "Not found in"
    yield from _heading(f"{heading}: {example.note}" if example.note else heading)
    several = len(example.files) > 1
    for path, text in example.files.items():
        if several:
            yield line(INDENT, Piece(path, "faint"))
        marked = {number for file, number in example.places if file == path}
        for number, written in enumerate(text.splitlines(), start=1):
            mark = Piece("▶ ", "error") if number in marked else Piece("  ")
            yield line(INDENT, mark, cut(visible(written), width - len(INDENT) - 2))


def _by_concern(rules: Iterable[Rule]) -> list[Rule]:
    def order(rule: Rule) -> tuple[int, str, str]:
        known = rule.concern in CONCERNS
        return (CONCERNS.index(rule.concern) if known else len(CONCERNS), rule.concern, rule.name)

    return sorted(rules, key=order)
