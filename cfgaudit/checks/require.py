"""Rules that need no code: what a card's or a house rule's ``require`` table asks of facts or settings."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import partial
from typing import Any

from cfgaudit.checks.compare import (
    Operands,
    Right,
    amounts_of,
    breach_text,
    holds,
    keeping,
    resolve_operands,
)
from cfgaudit.checks.finding import Check, Limits, Problem, Skip, Subject
from cfgaudit.checks.rule import (
    Comparison,
    Requirement,
    fill_template,
    format_amount,
    format_several,
)
from cfgaudit.facts.fact import Fact, fact_name
from cfgaudit.machine.model import Machine, Meaning, Part
from cfgaudit.vocabulary.catalogue import ROLES


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
        yield from _check_fact(requirement, fact, subject, limits)
    if not found:
        yield Skip(f"nothing here gives the fact {requirement.fact}")


def _check_fact(requirement: Requirement, fact: Fact, subject: Subject, limits: Limits) -> Iterator[Problem]:
    amounts = amounts_of(fact.value)
    shown = (
        amounts
        if requirement.decimals is None
        else tuple(round(one, requirement.decimals) for one in amounts)
    )
    kind, piece = fact.name.split(".")[:2]
    right = Right(limits, subject.facts, lambda wanted: piece if wanted == kind else None)
    for comparison in requirement.comparisons:
        operands = resolve_operands(comparison, right)
        if operands is None or not fact.origin or holds(comparison.kind, shown, operands):
            continue
        values = {
            **_origin_texts(fact),
            **_fact_texts(fact, comparison, operands, requirement.decimals),
            "part": f"{kind} {piece}",
            "axis": piece if kind == "axis" else "",
        }
        places = tuple(dict.fromkeys(meaning.place for meaning in fact.origin))
        yield Problem(places[0], fill_template(requirement.message, values), fact.name, places[1:])
        return


def _fact_texts(
    fact: Fact, comparison: Comparison, operands: Operands, decimals: int | None
) -> dict[str, str]:
    amounts = amounts_of(fact.value)
    lone = len(amounts) == 1
    return {
        "name": fact.name,
        "value": format_amount(amounts[0], fact.unit, decimals)
        if lone
        else format_several(amounts, fact.unit, decimals),
        "keeps": keeping(comparison.kind, amounts[0] if lone else 0.0, operands, fact.origin[0].amount),
        **_limit_texts(comparison, operands, fact.unit, decimals),
    }


def _origin_texts(fact: Fact) -> dict[str, str]:
    """By role: what the settings say that the fact came from, a number in its base unit."""
    return {
        one.role: one.text.strip()
        if one.amount is None
        else format_amount(one.amount, ROLES[one.role].base_unit)
        for one in reversed(fact.origin)
    }


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
            if meaning.amount not in requirement.off:
                yield from _check_setting(requirement, part, meaning, subject, limits)


def _check_setting(
    requirement: Requirement, part: Part, meaning: Meaning, subject: Subject, limits: Limits
) -> Iterator[Problem]:
    piece = partial(_piece_for, subject.machine, part, meaning.axis)
    right = Right(limits, subject.facts, piece, part, meaning.axis)
    for comparison in requirement.comparisons:
        operands = resolve_operands(comparison, right)
        measured = _measured(comparison, meaning)
        if operands is None or not measured or holds(comparison.kind, measured, operands):
            continue
        unit = ROLES[meaning.role].base_unit
        values = {
            "name": f"{meaning.setting.section}: {meaning.setting.name}".removeprefix(": "),
            "value": meaning.text.strip(),
            "part": part.title,
            "axis": meaning.axis or "",
            **_limit_texts(comparison, operands, unit, requirement.decimals),
        }
        about = f"{part.kind} {part.name} {meaning.role} {meaning.axis or ''}"
        yield Problem(meaning.place, fill_template(requirement.message, values), about)
        return


def _piece_for(machine: Machine, part: Part, axis: str | None, kind: str) -> str | None:
    """What ``*`` stands for in the name of a fact that a part's setting is compared with.

    Of an axis the setting's letter, else that of the only axis that the part belongs to; of another kind the
    part's own name, or that of a part which the same section describes.
    """
    if kind == "axis":
        letters = [axis] if axis else [one.letter for one in machine.axes() if part in one.parts()]
        return letters[0] if len(letters) == 1 else None
    owner = next((one for one in (part, *machine.mates(part)) if one.kind == kind), None)
    return fact_name(owner, "").split(".")[1] if owner is not None else None


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


def _limit_texts(
    comparison: Comparison, operands: Operands, unit: str, decimals: int | None = None
) -> dict[str, str]:
    limit, breach = breach_text(comparison.kind, operands, unit, decimals)
    return {"limit": limit, "breach": breach}
