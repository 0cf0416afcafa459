"""A rule: what its card says, the overrides of ``cfgaudit.toml`` worked in, and its check."""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import dataclass, field
from typing import NamedTuple

from cfgaudit.checks.finding import Check, Limit, Limits, Severity

HOUSE = "house"
"""The concern of a rule of ``cfgaudit.toml`` that names no other."""

LimitValue = float | tuple[float, ...] | tuple[str, ...]

COMPARISONS = ("at_least", "at_most", "above", "below", "between", "one_of")

_PLACEHOLDER = re.compile(r"\{([\w.]+)\}")


class Comparison(NamedTuple):
    """What a number must be.

    ``operands`` are numbers, words, names of limits, roles (with a dot), or names of facts (with two).
    ``between`` has two operands, ``one_of`` any number; the others compare with the first that is known.
    """

    kind: str
    operands: tuple[float | str, ...]


class Requirement(NamedTuple):
    """What a rule without code requires: of facts (``fact``), or of settings (``role``)."""

    message: str
    comparisons: tuple[Comparison, ...] = ()
    fact: str | None = None
    role: str | None = None
    part: str | None = None
    axis: str | None = None
    exists: bool = False
    off: tuple[float, ...] = ()
    """Numbers that switch the setting off: silence."""
    decimals: int | None = None
    """How many decimals a fact is compared and the message's numbers are written with; by default as many as
    they need."""


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule, ready to run. ``check`` is None for rules about allowances: the engine itself finds these."""

    name: str
    title: str
    severity: Severity
    concern: str
    advice: str
    why: str = ""
    source: str = ""
    limits: Limits = field(default_factory=dict)
    requirement: Requirement | None = None
    check: Check | None = field(default=None, repr=False, compare=False)

    def fill(self, text: str) -> str:
        """A text of the card with its limits' values in place of their names."""
        return _PLACEHOLDER.sub(lambda match: self._limit_text(match[1]) or match[0], text)

    def _limit_text(self, name: str) -> str | None:
        limit = self.limits.get(name)
        return None if limit is None else format_limit(limit)


def placeholders(text: str) -> tuple[str, ...]:
    """The names in braces of a template."""
    return tuple(_PLACEHOLDER.findall(text))


def fill_template(text: str, values: dict[str, str]) -> str:
    """A template with its names in braces replaced; names without a value stay as they are."""
    return _PLACEHOLDER.sub(lambda match: values.get(match[1], match[0]), text)


def format_limit(limit: Limit) -> str:
    """``320 °C``; several values as ``1, 2 or 4 mm``."""
    if isinstance(limit.value, tuple):
        return format_several(limit.value, limit.unit)
    return format_amount(limit.value, limit.unit)


def format_several(values: Collection[float | str], unit: str = "", decimals: int | None = None) -> str:
    """``1, 2 or 4 mm``."""
    texts = [one if isinstance(one, str) else format_amount(one, decimals=decimals) for one in values]
    joined = f"{', '.join(texts[:-1])} or {texts[-1]}" if len(texts) > 1 else "".join(texts)
    return f"{joined} {unit}".rstrip() if unit != "1" else joined


def format_amount(amount: float, unit: str = "", decimals: int | None = None) -> str:
    """A number for people: four significant digits, no exponent, then the unit unless it is 1.

    With ``decimals`` it has exactly so many.
    """
    if decimals is not None:
        digits = f"{amount:.{decimals}f}"
    elif amount == int(amount) and abs(amount) < 1e15:
        digits = str(int(amount))
    elif abs(amount) >= 1000:
        digits = f"{amount:.0f}"
    else:
        digits = f"{amount:.4g}" if abs(amount) >= 1e-4 else f"{amount:.2e}"
    return digits if unit in ("", "1") else f"{digits} {unit}"
