"""Formulas with the numbers put in."""

from __future__ import annotations

import re
from collections.abc import Sequence

from cfgaudit.facts.fact import Term
from cfgaudit.report.facts import amount_text

RAISED = "²³ⁿ"
"""Powers; a symbol may stand before one, and any other letter or digit makes another symbol of it."""
BESIDE = rf"[^\W{RAISED}]|/"
WORD = re.compile(rf"[^\W\d_{RAISED}]")
SUPERSCRIPT = str.maketrans("0123456789", "⁰¹²³⁴⁵⁶⁷⁸⁹")


def worked(formula: str, terms: Sequence[Term]) -> str | None:
    """``5000 mm/s² × 21.8 ms² ÷ 2`` for ``a × σ² ÷ 2``.

    None where the formula holds words that no term stands for: then there is nothing to reckon with.
    """
    if not terms:
        return None
    amounts = {term.symbol: term for term in terms}
    symbols = "|".join(re.escape(symbol) for symbol in sorted(amounts, key=len, reverse=True))
    symbol = re.compile(rf"(?<![^\W{RAISED}])(?<!/)(?:{symbols})(?!{BESIDE})")
    if WORD.search(symbol.sub("", formula).replace("ⁿ", "")) or ("ⁿ" in formula and "n" not in amounts):
        return None
    shown = symbol.sub(lambda one: _amount(amounts[one[0]], formula[one.end() : one.end() + 1]), formula)
    power = amount_text(amounts["n"].amount, "").translate(SUPERSCRIPT) if "n" in amounts else ""
    return shown.replace("ⁿ", power)


def _amount(term: Term, after: str) -> str:
    """The number with its unit; in brackets where a sign or a power would be read with a part of it only."""
    shown = amount_text(term.amount, term.unit)
    alone = term.amount >= 0 and not (after and after in RAISED and " " in shown)
    return shown if alone else f"({shown})"


def term_texts(terms: Sequence[Term]) -> list[str]:
    """``a = 5000 mm/s²``, one text a term."""
    return [f"{term.symbol} = {amount_text(term.amount, term.unit)}" for term in terms]
