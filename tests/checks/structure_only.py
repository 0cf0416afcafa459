"""A run of the structure rules and of house rules alone, so that these tests speak of nothing else."""

from __future__ import annotations

from cfgaudit.audit import understand
from cfgaudit.checks.finding import Findings
from cfgaudit.checks.ruleset import load_rules
from cfgaudit.checks.run import raise_fault, run_rules
from cfgaudit.project import read_project
from cfgaudit.source import Memory


def check_structure(text: str, project: str = "") -> Findings:
    """The findings in one file; ``project`` is the text of a ``cfgaudit.toml``."""
    source = Memory({"main.ini": text.encode("utf-8", "surrogateescape"), "cfgaudit.toml": project.encode()})
    said = read_project(source)
    rules = load_rules(severities=said.severities, limits=said.limits, house=said.house)
    chosen = [rule for rule in rules if rule.concern in ("structure", "house")]
    known = [rule.name for rule in rules if rule not in chosen] + list(said.severities)
    return run_rules(understand(source, "main.ini", said), chosen, known=known, on_fault=raise_fault)
