"""The facts of a machine given as text in plain words, through the whole flow."""

from __future__ import annotations

from cfgaudit.audit import audit_text
from cfgaudit.checks.run import raise_fault
from cfgaudit.facts.fact import Amount, Fact


def fact_of(text: str, name: str) -> Fact | None:
    return audit_text({"machine.ini": text}, on_fault=raise_fault).facts.get(name)


def value_of(text: str, name: str) -> Amount | None:
    fact = fact_of(text, name)
    return fact.value if fact is not None else None
