"""Comparisons of a ``require`` table: what stands on the right, whether it holds, and how to say so."""

from __future__ import annotations

from collections.abc import Sequence

from cfgaudit.checks.finding import Limits
from cfgaudit.checks.rule import Comparison, format_amount, format_several
from cfgaudit.facts.fact import Amount
from cfgaudit.machine.model import Part
from cfgaudit.tree.names import fold_name
from cfgaudit.vocabulary.catalogue import ROLES

Operands = tuple[float | str, ...]

BREACHES = {
    "at_least": "less than {}",
    "at_most": "more than {}",
    "above": "not above {}",
    "below": "not below {}",
    "between": "outside {}",
    "one_of": "none of {}",
}


def amounts_of(value: Amount) -> tuple[float, ...]:
    """Every number of a fact's value, in order."""
    if isinstance(value, tuple):
        return tuple(amount for part in value for amount in amounts_of(part))
    return (value,)


def resolve_operands(
    comparison: Comparison, limits: Limits, part: Part | None, axis: str | None
) -> Operands | None:
    """The numbers or words that stand on the right; None where a role among them has no number.

    A setting that carries an axis is compared with the other role's setting of the same axis if there is one.
    """
    resolved: list[float | str] = []
    for operand in comparison.operands:
        if isinstance(operand, str) and operand in limits:
            value = limits[operand].value
            resolved.extend(value if isinstance(value, tuple) else (value,))
        elif isinstance(operand, str) and operand in ROLES:
            amount = _role_amount(part, operand, axis)
            if amount is None:
                return None
            resolved.append(amount)
        else:
            resolved.append(operand)
    return tuple(resolved)


def _role_amount(part: Part | None, role: str, axis: str | None) -> float | None:
    if part is None:
        return None
    meaning = part.get(role, axis) if axis else part.get(role)
    return meaning.amount if meaning is not None else None


def holds(kind: str, measured: Sequence[float | str], operands: Operands) -> bool:
    """Whether every measured value meets the comparison. Words compare folded."""
    if kind == "one_of":
        allowed = {_folded(one) for one in operands}
        return all(_folded(one) in allowed for one in measured)
    numbers = [one for one in operands if not isinstance(one, str)]
    amounts = [one for one in measured if not isinstance(one, str)]
    low, high = min(numbers, default=0.0), max(numbers, default=0.0)
    if kind == "between":
        return all(low <= one <= high for one in amounts)
    if kind in ("at_least", "above"):
        return all(one > high or (one == high and kind == "at_least") for one in amounts)
    return all(one < low or (one == low and kind == "at_most") for one in amounts)


def _folded(value: float | str) -> float | str:
    return fold_name(value) if isinstance(value, str) else value


def breach_text(kind: str, operands: Operands, unit: str) -> tuple[str, str]:
    """The limit in words, and how it is broken: ``320 °C`` and ``more than 320 °C``."""
    if kind == "between":
        low, high = (format_amount(one) for one in operands[:2] if not isinstance(one, str))
        limit = f"{low} to {high} {unit}".rstrip()
    else:
        limit = format_several(operands, unit)
    return limit, BREACHES[kind].format(limit)
