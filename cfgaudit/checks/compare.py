"""Comparisons of a ``require`` table: what stands on the right, whether it holds, and how to say so."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import ceil, floor, log10
from typing import NamedTuple

from cfgaudit.checks.finding import Limits
from cfgaudit.checks.rule import Comparison, format_amount, format_several
from cfgaudit.facts.fact import Amount, Facts
from cfgaudit.machine.model import Part
from cfgaudit.tree.names import fold_name
from cfgaudit.vocabulary.catalogue import PART_KINDS, ROLES

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


class Right(NamedTuple):
    """What the right side of a comparison can look at.

    ``piece`` gives what ``*`` stands for in a fact's name, by the kind that the name begins with; None where
    nothing of that kind goes with what stands on the left.
    """

    limits: Limits
    facts: Facts
    piece: Callable[[str], str | None]
    part: Part | None = None
    axis: str | None = None


def is_fact_name(text: str) -> bool:
    """Whether an operand is the name of a fact: ``axis.*.travel``. A role has one dot only."""
    return text.count(".") == 2 and text.partition(".")[0] in PART_KINDS


def resolve_operands(comparison: Comparison, right: Right) -> Operands | None:
    """The numbers or words that stand on the right; None where one among them is not known.

    Of several where one is enough the first that is known counts.
    """
    resolved = [_resolve(operand, right) for operand in comparison.operands]
    if comparison.kind not in ("between", "one_of"):
        return next((one for one in resolved if one), None)
    known = [one for one in resolved if one]
    return tuple(value for one in known for value in one) if len(known) == len(resolved) else None


def _resolve(operand: float | str, right: Right) -> Operands:
    """The values of one operand; none where it is not known."""
    if not isinstance(operand, str):
        return (operand,)
    if operand in right.limits:
        value = right.limits[operand].value
        return value if isinstance(value, tuple) else (value,)
    amount: float | None
    if operand in ROLES:
        amount = _role_amount(right.part, operand, right.axis)
    elif is_fact_name(operand):
        amount = _fact_amount(operand, right)
    else:
        return (operand,)
    return () if amount is None else (amount,)


def _fact_amount(name: str, right: Right) -> float | None:
    kind, piece, quantity = name.split(".")
    wanted = right.piece(kind) if piece == "*" else piece
    fact = right.facts.get(f"{kind}.{wanted}.{quantity}")
    return fact.value if fact is not None and isinstance(fact.value, float) else None


def _role_amount(part: Part | None, role: str, axis: str | None) -> float | None:
    if part is None:
        return None
    # A setting that carries an axis is compared with the other role's setting of the same axis.
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


def breach_text(kind: str, operands: Operands, unit: str, decimals: int | None = None) -> tuple[str, str]:
    """The limit in words, and how it is broken: ``320 °C`` and ``more than 320 °C``."""
    if kind == "between":
        low, high = (
            format_amount(one, decimals=decimals) for one in operands[:2] if not isinstance(one, str)
        )
        limit = f"{low} to {high} {unit}".rstrip()
    else:
        limit = format_several(operands, unit, decimals)
    return limit, BREACHES[kind].format(limit)


def keeping(kind: str, measured: float, operands: Operands, cause: float | None) -> str:
    """The number that a setting would need so that a fact which grows in proportion with it keeps its limit.

    Three digits, rounded to the side that keeps it; where it cannot be told, ``less`` or ``more``.
    """
    limit = next((one for one in operands if not isinstance(one, str)), None)
    lower = kind in ("at_most", "below")
    if cause is None or limit is None or kind in ("between", "one_of") or measured <= 0 or cause * limit <= 0:
        return "less" if lower else "more"
    wanted = cause * limit / measured
    unit = 10.0 ** (floor(log10(wanted)) - 2)
    count = floor(wanted / unit + 1e-6) if lower else ceil(wanted / unit - 1e-6)
    return format_amount(count * unit)
