"""What the rules find in a machine given as text."""

from __future__ import annotations

from cfgaudit.audit import audit_text
from cfgaudit.checks.finding import Finding
from cfgaudit.checks.run import raise_fault


def findings_in(text: str, rule: str, project: str | None = None) -> list[Finding]:
    """The findings of one rule, in order of place."""
    found = audit_text({"machine.ini": text}, project, on_fault=raise_fault).findings.findings
    return [one for one in found if one.rule == rule]


def lines_in(text: str, rule: str, project: str | None = None) -> list[int]:
    """The lines of the findings of one rule."""
    return [one.where.line for one in findings_in(text, rule, project)]
