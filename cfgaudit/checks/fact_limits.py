"""Which limits of which rules apply to a fact, and how much room they leave."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from fnmatch import fnmatchcase
from typing import NamedTuple

from cfgaudit.checks.cards import load_cards
from cfgaudit.checks.compare import Right, amounts_of, resolve_operands
from cfgaudit.checks.overrides import override_limits
from cfgaudit.checks.rule import Comparison, LimitValue, Rule
from cfgaudit.facts.fact import Fact, Facts


class FactLimit(NamedTuple):
    """What one rule asks of a fact: ``kind`` is that of a comparison, ``limit`` and ``room`` are in its unit.

    ``room`` is how far the fact may still go, below 0 how far it is beyond; None where that is no number.
    """

    rule: str
    kind: str
    limit: tuple[float, ...]
    room: float | None
    source: str


def rules_over_facts(
    limits: Mapping[str, LimitValue], off: Collection[str], house: Iterable[Rule]
) -> tuple[Rule, ...]:
    """Every rule that requires something of facts, with the values and the rules of ``cfgaudit.toml``.

    ``off`` are the names of rules that do not run. Raises CardError.
    """
    rules = override_limits([*load_cards().values(), *house], limits)
    return tuple(
        rule
        for name, rule in rules.items()
        if name not in off and rule.requirement is not None and rule.requirement.fact is not None
    )


def limits_of(fact: Fact, facts: Facts, rules: Iterable[Rule]) -> tuple[FactLimit, ...]:
    """The limits of these rules that apply to a fact."""
    return tuple(one for rule in rules for one in _limits(fact, facts, rule))


def _limits(fact: Fact, facts: Facts, rule: Rule) -> Iterator[FactLimit]:
    asked = rule.requirement
    if asked is None or asked.fact is None or not fnmatchcase(fact.name, asked.fact):
        return
    kind, piece = fact.name.split(".")[:2]
    right = Right(rule.limits, facts, lambda wanted: piece if wanted == kind else None)
    for comparison in asked.comparisons:
        operands = resolve_operands(comparison, right) or ()
        numbers = tuple(one for one in operands if not isinstance(one, str))
        if numbers:
            room = _room(comparison.kind, amounts_of(fact.value), numbers)
            yield FactLimit(rule.name, comparison.kind, numbers, room, _source(comparison, rule))


def _room(kind: str, amounts: tuple[float, ...], limits: tuple[float, ...]) -> float | None:
    if not amounts or kind == "one_of":
        return None
    below, above = min(limits) - max(amounts), min(amounts) - max(limits)
    if kind == "between":
        return min(max(limits) - max(amounts), min(amounts) - min(limits))
    return below if kind in ("at_most", "below") else above


def _source(comparison: Comparison, rule: Rule) -> str:
    """Of the only limit, else of the rule."""
    named = rule.limits.get(str(comparison.operands[0])) if len(comparison.operands) == 1 else None
    return named.source if named is not None else rule.source
