"""``rules``: every rule there is."""

from __future__ import annotations

from cfgaudit.cli.options import Form, Format
from cfgaudit.cli.screen import show, width, write


def run(form: Form = Format.TEXT) -> None:
    """List the rules by concern."""
    from cfgaudit.checks.cards import load_cards
    from cfgaudit.report.json_form import dump
    from cfgaudit.report.rules import rules_form, rules_lines

    rules = load_cards().values()
    if form is Format.JSON:
        write(dump(rules_form(rules)) + "\n")
    else:
        show(rules_lines(rules, width()))
