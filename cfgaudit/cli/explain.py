"""``explain``: one rule as a page."""

from __future__ import annotations

from typing import Annotated

import typer

from cfgaudit.cli.failure import UsageError
from cfgaudit.cli.options import Form, Format
from cfgaudit.cli.screen import show, width, write


def _complete(incomplete: str) -> list[str]:
    from cfgaudit.checks.cards import load_cards

    return [name for name in load_cards() if name.startswith(incomplete)]


Name = Annotated[str, typer.Argument(metavar="RULE", help="The rule's name.", autocompletion=_complete)]


def run(rule: Name, form: Form = Format.TEXT) -> None:
    """Say why a rule matters and what to do, where its limits are from, and show text that it finds."""
    from cfgaudit.checks.cards import load_cards, load_examples
    from cfgaudit.cli.rules import rules_here
    from cfgaudit.nearest import nearest
    from cfgaudit.report.json_form import dump
    from cfgaudit.report.rules import explain_lines, rule_form

    rules, off = rules_here()
    if rule not in rules:
        near = nearest(rule, rules)
        hint = f"did you mean {near}? " if near else ""
        raise UsageError(f"there is no rule {rule or 'without a name'}: {hint}cfgaudit rules lists them")
    examples = load_examples(rule) if rule in load_cards() else ()
    if form is Format.JSON:
        write(dump(rule_form(rules[rule], examples, off=rule in off)))
    else:
        show(explain_lines(rules[rule], examples, width(), off=rule in off))
