"""What the rules say of a text, for tests: rule, severity and line of every finding."""

from __future__ import annotations

from typing import NamedTuple

from cfgaudit.audit import audit_text
from cfgaudit.checks.finding import Finding
from cfgaudit.checks.run import raise_fault


class Said(NamedTuple):
    """One finding, without its words."""

    rule: str
    severity: str
    line: int


def findings(text: str, *rules: str) -> list[Finding]:
    """The findings of one file in memory, of these rules if any are named."""
    found = audit_text({"main.ini": text}, on_fault=raise_fault).findings.findings
    return [one for one in found if not rules or one.rule in rules]


def said(text: str, *rules: str) -> list[Said]:
    """Rule, severity and line of each of them."""
    return [Said(one.rule, str(one.severity), one.where.line) for one in findings(text, *rules)]


def grave(text: str) -> list[Said]:
    """Every error and danger, of any rule."""
    return [one for one in said(text) if one.severity in ("error", "danger")]
