"""Every report on one configuration, as text and as JSON."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.audit import Audit
from cfgaudit.checks.cards import load_cards, load_examples
from cfgaudit.report.facts import facts_form, facts_lines
from cfgaudit.report.findings import findings_form, findings_lines
from cfgaudit.report.json_form import Json, dump
from cfgaudit.report.lines import Line, plain
from cfgaudit.report.pins import pins_form, pins_lines
from cfgaudit.report.project_file import project_text
from cfgaudit.report.roles import roles_form, roles_lines
from cfgaudit.report.rules import explain_lines, rules_lines
from cfgaudit.report.tree import tree_form, tree_lines
from cfgaudit.report.where import find_mentions, where_form, where_lines


def text_reports(done: Audit, width: int, name: str = "*") -> Iterator[tuple[str, list[Line]]]:
    """Each report's command and its lines. ``name`` is what ``where`` looks for."""
    tree, findings = done.tree, done.findings
    yield "check", list(findings_lines(tree.main, tree.documents, findings, width, skipped=True))
    yield "tree", list(tree_lines(tree, width))
    yield "roles", list(roles_lines(done.reading, width, all_settings=True))
    yield "roles --unknown", list(roles_lines(done.reading, width, all_settings=False))
    yield "facts", list(facts_lines(done.facts.facts, width))
    yield "pins", list(pins_lines(done.machine, width))
    yield f"where {name}", list(where_lines(name, find_mentions(done.subject, name), width))


def rule_reports(width: int) -> Iterator[tuple[str, list[Line]]]:
    """The list of the rules, and the page of each."""
    cards = load_cards()
    yield "rules", list(rules_lines(cards.values(), (), width))
    for rule in cards.values():
        yield f"explain {rule.name}", list(explain_lines(rule, load_examples(rule.name), width))


def json_reports(done: Audit, name: str = "*") -> Iterator[tuple[str, str]]:
    """Each report's command and its JSON text."""
    forms: dict[str, Json] = {
        "check": findings_form(done.tree.main, done.tree.documents, done.findings),
        "tree": tree_form(done.tree),
        "roles": roles_form(done.reading),
        "facts": facts_form(done.facts.facts),
        "pins": pins_form(done.machine),
        "where": where_form(name, find_mentions(done.subject, name)),
    }
    for command, form in forms.items():
        yield command, dump(form)


def project_file(done: Audit) -> str:
    """What ``init`` writes."""
    return project_text(done.reading)


def shown(lines: list[Line]) -> str:
    """Lines as they are read without colours."""
    return "\n".join(map(plain, lines))
