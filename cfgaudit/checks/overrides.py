"""Limits of ``cfgaudit.toml`` in place of the cards' own."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from cfgaudit.checks.cards import CardError
from cfgaudit.checks.finding import Limit, Limits
from cfgaudit.checks.rule import LimitValue, Rule


def override_limits(rules: Iterable[Rule], limits: Mapping[str, LimitValue]) -> dict[str, Rule]:
    """The rules by name, with these values for ``rule.limit``. Raises CardError if there is no such limit."""
    changed = {rule.name: rule for rule in rules}
    for name, value in limits.items():
        rule, _, limit = name.rpartition(".")
        if rule not in changed or limit not in changed[rule].limits:
            raise CardError(f"there is no limit {name}")
        changed[rule] = replace(changed[rule], limits=_with_value(changed[rule].limits, limit, value))
    return changed


def _with_value(limits: Limits, name: str, value: LimitValue) -> Mapping[str, Limit]:
    changed = limits[name]._replace(value=value, source="cfgaudit.toml")
    return {**limits, name: changed}
