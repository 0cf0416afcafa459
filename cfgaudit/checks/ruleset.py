"""The rules of one audit: all cards and house rules, with the overrides of ``cfgaudit.toml`` worked in."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from cfgaudit.checks.all import load_checks
from cfgaudit.checks.cards import CardError, load_cards
from cfgaudit.checks.finding import Severity
from cfgaudit.checks.overrides import override_limits
from cfgaudit.checks.rule import LimitValue, Rule


def load_rules(
    *,
    severities: Mapping[str, Severity | None] | None = None,
    limits: Mapping[str, LimitValue] | None = None,
    house: Iterable[Rule] = (),
) -> tuple[Rule, ...]:
    """Every rule that is to run, by name.

    ``severities`` maps rules to another severity, or to None to switch them off; ``limits`` maps
    ``rule.limit`` to another value. Raises CardError for a rule or limit that does not exist.
    """
    rules = override_limits([*bind_checks().values(), *house], limits or {})
    for rule, severity in (severities or {}).items():
        if rule not in rules:
            raise CardError(f"there is no rule {rule}")
        if severity is not None:
            rules[rule] = replace(rules[rule], severity=severity)
    off = {rule for rule, severity in (severities or {}).items() if severity is None}
    return tuple(rule for name, rule in sorted(rules.items()) if name not in off)


def bind_checks() -> dict[str, Rule]:
    """Every card's rule with the function that finds it."""
    return {rule.name: rule for rule in _bound()}


def _bound() -> Iterator[Rule]:
    checks = load_checks()
    for rule in load_cards().values():
        yield replace(rule, check=checks[rule.name]) if rule.name in checks else rule
