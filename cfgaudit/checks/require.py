"""Rules that need no code: what a card's or a house rule's ``require`` table asks of facts or settings."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import partial
from typing import Any

from cfgaudit.checks.cards import CardError, is_number
from cfgaudit.checks.compare import amounts_of, breach_text, holds, resolve_operands
from cfgaudit.checks.finding import Check, Limits, Problem, Skip, Subject
from cfgaudit.checks.rule import (
    COMPARISONS,
    Comparison,
    Requirement,
    Rule,
    fill_template,
    format_amount,
    format_several,
    placeholders,
)
from cfgaudit.facts.fact import Fact
from cfgaudit.machine.model import Meaning, Part
from cfgaudit.nearest import or_nearest
from cfgaudit.vocabulary.catalogue import AXES, PART_KINDS, ROLES

KEYS = frozenset({"fact", "role", "part", "axis", "exists", "message", *COMPARISONS})
NAMES = frozenset({"value", "limit", "name", "part", "axis", "breach"})
DEFAULT = "{name} is {value}, {breach}"
DEFAULT_EXISTS = "{part} has no {name}"


def read_requirement(table: object, rule: Rule) -> Requirement:
    """The requirement of a ``require`` table. Raises CardError with what is expected instead."""
    if not isinstance(table, dict):
        raise CardError(f"{rule.name}: require must be a table")
    for key in table:
        if key not in KEYS:
            raise CardError(f"{rule.name}: require has no key {or_nearest(key, KEYS)}")
    exists = table.get("exists", False)
    requirement = Requirement(
        message=str(table.get("message", DEFAULT_EXISTS if exists else DEFAULT)),
        comparisons=tuple(_read_comparison(key, table[key], rule) for key in COMPARISONS if key in table),
        fact=table.get("fact"),
        role=table.get("role"),
        part=table.get("part"),
        axis=table.get("axis"),
        exists=exists,
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
    for name in placeholders(one.message):
        if name not in NAMES:
            raise CardError(f"{rule}: message has no {{{name}}}; it may hold {', '.join(sorted(NAMES))}")


def _read_comparison(kind: str, operand: object, rule: Rule) -> Comparison:
    operands = tuple(operand) if isinstance(operand, list) else (operand,)
    several = isinstance(operand, list)
    if (kind == "between" and len(operands) != 2) or (several and kind not in ("between", "one_of")):
        raise CardError(f"{rule.name}: {kind} takes {'[low, high]' if kind == 'between' else 'one value'}")
    words_allowed = kind == "one_of" and several
    for one in operands:
        if not (is_number(one) or (isinstance(one, str) and (words_allowed or _is_name(one, rule)))):
            raise CardError(f"{rule.name}: {kind} = {one!r} is no number, no limit of the rule and no role")
    return Comparison(kind, operands)


def _is_name(text: str, rule: Rule) -> bool:
    return text in rule.limits or text in ROLES


def requirement_check(requirement: Requirement) -> Check:
    """The check that finds where the requirement is not met."""
    if requirement.fact is not None:
        return partial(check_facts, requirement)
    return partial(check_presence if requirement.exists else check_settings, requirement)


def check_facts(requirement: Requirement, subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """Every fact of that name against the comparisons."""
    assert requirement.fact is not None
    found = False
    for fact in subject.facts.matching(requirement.fact):
        found = True
        yield from _check_fact(requirement, fact, limits)
    if not found:
        yield Skip(f"nothing here gives the fact {requirement.fact}")


def _check_fact(requirement: Requirement, fact: Fact, limits: Limits) -> Iterator[Problem]:
    amounts = amounts_of(fact.value)
    for comparison in requirement.comparisons:
        operands = resolve_operands(comparison, limits, None, None)
        if operands is None or not fact.origin or holds(comparison.kind, amounts, operands):
            continue
        values = {
            "name": fact.name,
            "value": format_several(amounts, fact.unit)
            if len(amounts) != 1
            else format_amount(amounts[0], fact.unit),
            **_limit_texts(comparison, operands, fact.unit),
        }
        places = tuple(dict.fromkeys(meaning.place for meaning in fact.origin))
        yield Problem(places[0], fill_template(requirement.message, values), fact.name, places[1:])
        return


def check_settings(requirement: Requirement, subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """Every setting with that role against the comparisons."""
    assert requirement.role is not None
    seen: set[tuple[object, ...]] = set()
    for part in subject.machine.parts:
        if requirement.part not in (None, part.kind):
            continue
        for meaning in part.all(requirement.role, requirement.axis):
            if (meaning.place, meaning.axis) in seen:
                continue  # another part of the same section shares the setting
            seen.add((meaning.place, meaning.axis))
            yield from _check_setting(requirement, part, meaning, limits)


def _check_setting(
    requirement: Requirement, part: Part, meaning: Meaning, limits: Limits
) -> Iterator[Problem]:
    for comparison in requirement.comparisons:
        operands = resolve_operands(comparison, limits, part, meaning.axis)
        measured = _measured(comparison, meaning)
        if operands is None or not measured or holds(comparison.kind, measured, operands):
            continue
        unit = ROLES[meaning.role].base_unit
        values = {
            "name": f"{meaning.setting.section}: {meaning.setting.name}".removeprefix(": "),
            "value": meaning.text.strip(),
            "part": part.title,
            "axis": meaning.axis or "",
            **_limit_texts(comparison, operands, unit),
        }
        subject = f"{part.kind} {part.name} {meaning.role} {meaning.axis or ''}"
        yield Problem(meaning.place, fill_template(requirement.message, values), subject)
        return


def _measured(comparison: Comparison, meaning: Meaning) -> tuple[float, ...] | tuple[str, ...]:
    if comparison.kind == "one_of" and any(isinstance(one, str) for one in comparison.operands):
        words = not any(one in ROLES for one in comparison.operands)
        if words and meaning.fits:
            return (meaning.text.strip(),)
    return (meaning.amount,) if meaning.amount is not None else ()


def check_presence(requirement: Requirement, subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """Every part of that kind must have the role; silent where unknown settings could be it."""
    assert requirement.part is not None
    assert requirement.role is not None
    for part in subject.machine.kind(requirement.part):
        holders = (part, *subject.machine.mates(part))
        if (
            part.place is None
            or part.unknown
            or any(one.get(requirement.role, requirement.axis) for one in holders)
        ):
            continue
        values: Mapping[str, Any] = {
            "part": part.title,
            "name": requirement.role,
            "axis": requirement.axis or part.axis or "",
        }
        subject_text = f"{part.kind} {part.name} {requirement.role}"
        yield Problem(part.place, fill_template(requirement.message, dict(values)), subject_text)


def _limit_texts(comparison: Comparison, operands: tuple[float | str, ...], unit: str) -> dict[str, str]:
    limit, breach = breach_text(comparison.kind, operands, unit)
    return {"limit": limit, "breach": breach}
