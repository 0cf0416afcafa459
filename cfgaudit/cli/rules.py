"""``rules``: every rule there is."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from cfgaudit.cli.options import Form, Format
from cfgaudit.cli.screen import show, width, write

if TYPE_CHECKING:
    from cfgaudit.checks.rule import Rule


def run(form: Form = Format.TEXT) -> None:
    """List the rules by concern, as they count here: with the severities, limits and house rules that
    cfgaudit.toml states, if the current folder has one."""
    from cfgaudit.report.json_form import dump
    from cfgaudit.report.rules import rules_form, rules_lines

    rules, off = rules_here()
    if form is Format.JSON:
        write(dump(rules_form(rules.values(), off)))
    else:
        show(rules_lines(rules.values(), off, width()))


def rules_here() -> tuple[Mapping[str, Rule], Collection[str]]:
    """The rules by name, what ``cfgaudit.toml`` says worked in, and the names of those that are off."""
    from cfgaudit.checks.ruleset import load_rules
    from cfgaudit.cli.opening import project_folder, read_project_in
    from cfgaudit.working_tree import WorkingTree

    project, _ = read_project_in(WorkingTree, project_folder(WorkingTree, Path()))
    severities = {name: severity for name, severity in project.severities.items() if severity is not None}
    rules = load_rules(severities=severities, limits=project.limits, house=project.house)
    return {rule.name: rule for rule in rules}, project.severities.keys() - severities.keys()
