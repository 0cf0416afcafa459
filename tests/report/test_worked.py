"""Formulas with the numbers put in."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.facts.fact import Term
from cfgaudit.report.worked import term_texts, worked


@pytest.mark.parametrize(
    ("formula", "terms", "shown"),
    [
        ("a × σ² ÷ 2", [("a", 5000, "mm/s²"), ("σ²", 21.77, "ms²")], "5000 mm/s² × 21.77 ms² ÷ 2"),
        ("v² ÷ (2 × a)", [("v", 40, "mm/s"), ("a", 500, "mm/s²")], "(40 mm/s)² ÷ (2 × 500 mm/s²)"),
        ("√(1 − ζ²)", [("ζ", 0.1, "")], "√(1 − 0.1²)"),
        ("max − min", [("max", 200, "mm"), ("min", -5, "mm")], "200 mm − (-5 mm)"),
        ("R₂ ÷ R", [("R", 2, "Ω"), ("R₂", 3, "Ω")], "3 Ω ÷ 2 Ω"),
        ("top speed × speed", [("speed", 1, ""), ("top speed", 2, "")], "2 × 1"),
        ("2ⁿ × R", [("n", 12, ""), ("R", 5, "Ω")], "2¹² × 5 Ω"),
        ("dR/dT × R", [("R", 5, "Ω"), ("dR/dT", -3.5, "Ω/K")], "(-3.5 Ω/K) × 5 Ω"),
        ("1 ÷ s", [("s", 80, "1/mm")], "1 ÷ 80 per mm"),
    ],
)
def test_numbers_are_put_in(formula: str, terms: list[tuple[str, float, str]], shown: str) -> None:
    assert worked(formula, [Term(*one) for one in terms]) == shown


@pytest.mark.parametrize(
    ("formula", "symbols"),
    [
        ("what it backs off", ()),
        ("the larger of a and b", ("a", "b")),
        ("2ⁿ × R", ("R",)),
        ("a at full scale", ("a",)),
        ("areas", ("a",)),
    ],
)
def test_words_are_not_reckoned_with(formula: str, symbols: tuple[str, ...]) -> None:
    assert worked(formula, [Term(one, 1.0) for one in symbols]) is None


def test_terms_are_told_with_their_units() -> None:
    terms = [Term("a", 0.30000000000000004, "mm"), Term("n", 12)]
    assert term_texts(terms) == ["a = 0.3 mm", "n = 12"]


@settings(max_examples=80)
@given(
    formula=st.text(max_size=30),
    terms=st.lists(
        st.builds(
            Term,
            st.text(min_size=1, max_size=4),
            st.floats(allow_nan=False, allow_infinity=False),
            st.text(max_size=3),
        ),
        max_size=3,
    ),
)
def test_any_formula_with_any_terms(formula: str, terms: list[Term]) -> None:
    assert worked(formula, terms) is None or terms
