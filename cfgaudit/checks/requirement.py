"""The ``require`` table of a card or a house rule, read and validated."""

from __future__ import annotations

from cfgaudit.checks.cards import CardError, is_number
from cfgaudit.checks.compare import is_fact_name
from cfgaudit.checks.rule import COMPARISONS, Comparison, Requirement, Rule, placeholders
from cfgaudit.nearest import or_nearest
from cfgaudit.vocabulary.catalogue import AXES, PART_KINDS, ROLES

KEYS = frozenset({"fact", "role", "part", "axis", "exists", "message", "off", "decimals", *COMPARISONS})
NAMES = frozenset({"value", "limit", "name", "part", "axis", "breach"})
FACT_NAMES = NAMES | {"keeps"} | ROLES.keys()
DEFAULT = "{name} is {value}, {breach}"
DEFAULT_EXISTS = "{part} has no {name}"


def read_requirement(table: object, rule: Rule) -> Requirement:
    """The requirement of a ``require`` table. Raises CardError with what is expected instead."""
    if not isinstance(table, dict):
        raise CardError(f"{rule.name}: require must be a table")
    for key in table:
        if key not in KEYS:
            raise CardError(f"{rule.name}: require has no key {or_nearest(key, KEYS)}")
    exists, off = table.get("exists", False), table.get("off", [])
    requirement = Requirement(
        message=str(table.get("message", DEFAULT_EXISTS if exists else DEFAULT)),
        comparisons=tuple(_read_comparison(key, table[key], rule) for key in COMPARISONS if key in table),
        fact=table.get("fact"),
        role=table.get("role"),
        part=table.get("part"),
        axis=table.get("axis"),
        exists=exists,
        off=tuple(off) if isinstance(off, list) else (off,),
        decimals=table.get("decimals"),
    )
    _validate(requirement, rule.name)
    return requirement


def _validate(one: Requirement, rule: str) -> None:
    if (one.fact is None) == (one.role is None):
        raise CardError(f"{rule}: require needs either fact or role")
    if not isinstance(one.fact or one.role, str) or one.exists not in (True, False):
        raise CardError(f"{rule}: fact and role must be texts, exists true or false")
    if one.role is not None and one.role not in ROLES:
        raise CardError(f"{rule}: there is no role {or_nearest(one.role, ROLES)}")
    if one.part is not None and one.part not in PART_KINDS:
        raise CardError(f"{rule}: there is no part kind {or_nearest(one.part, PART_KINDS)}")
    if one.axis is not None and one.axis not in AXES:
        raise CardError(f"{rule}: axis must be one of {', '.join(sorted(AXES))}, not {one.axis}")
    if one.fact is not None and (one.part or one.axis or one.exists):
        raise CardError(f"{rule}: part, axis and exists go with role, not with fact")
    if one.exists and one.part is None:
        raise CardError(f"{rule}: exists needs the kind of part that must have the role")
    if one.exists == bool(one.comparisons):
        raise CardError(f"{rule}: require needs a comparison ({', '.join(COMPARISONS)}) or exists = true")
    if not all(is_number(off) for off in one.off) or one.decimals not in (None, *range(10)):
        raise CardError(f"{rule}: off must be a number or a list of numbers, decimals a digit")
    if one.off and one.role is None:
        raise CardError(f"{rule}: off goes with role, not with fact")
    for name in placeholders(one.message):
        if name not in (NAMES if one.fact is None else FACT_NAMES):
            raise CardError(
                f"{rule}: message has no {{{name}}}; it may hold {', '.join(sorted(NAMES))}"
                + (", keeps, and the roles of what the fact comes from" if one.fact is not None else "")
            )


def _read_comparison(kind: str, operand: object, rule: Rule) -> Comparison:
    operands = tuple(operand) if isinstance(operand, list) else (operand,)
    several = isinstance(operand, list)
    alternatives = several and all(isinstance(one, str) and is_fact_name(one) for one in operands[:-1])
    if (kind == "between" and len(operands) != 2) or (
        several and kind not in ("between", "one_of") and not (operands and alternatives)
    ):
        raise CardError(f"{rule.name}: {kind} takes {'[low, high]' if kind == 'between' else 'one value'}")
    words_allowed = kind == "one_of" and several
    for one in operands:
        if not (is_number(one) or (isinstance(one, str) and (words_allowed or _is_name(one, rule)))):
            raise CardError(
                f"{rule.name}: {kind} = {one!r} is no number, no limit of the rule, no role and no fact"
            )
    return Comparison(kind, operands)


def _is_name(text: str, rule: Rule) -> bool:
    return text in rule.limits or text in ROLES or is_fact_name(text)
