"""The reports of ``compare`` fit every width and form, whatever the names and numbers in the records."""

from __future__ import annotations

import json
from functools import cache

import pytest
from evidence.compared import SPAN, record
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.evidence.comparing.comparison import Quantity, Verdict, compare_evidence
from cfgaudit.evidence.records.record import Evidence, MeasurementKind, Result
from cfgaudit.history.change import Change, Revision
from cfgaudit.history.upgrade import Acceleration, Upgrade
from cfgaudit.report.comparison import comparison_lines
from cfgaudit.report.comparison_json import comparison_form
from cfgaudit.report.comparison_markdown import comparison_markdown
from cfgaudit.report.comparison_words import amount_text, change_text, conclusion, percent, signed, values
from cfgaudit.report.json_form import dump
from cfgaudit.report.lines import breadth, plain
from report.reviews import MARK, reviewed

BEFORE = Revision("good/2026-10-01", MARK.commit, SPAN.before, MARK)
AFTER = Revision("working tree", None)
RESULTS = st.builds(
    Result,
    st.text(min_size=1, max_size=30),
    st.floats(allow_nan=False, allow_infinity=False),
    st.sampled_from(["mm", "mm/s²", "%", "1", "", "°C", "|", "a unit of\nmany words"]),
    st.integers(1, 5),
    st.none() | st.floats(0, 1e300),
    st.sampled_from(["", "higher", "lower"]),
)


@cache
def changes() -> tuple[Change, ...]:
    old = "[x axis]\ntop acceleration = 3000\nlowest = 0\n"
    new = "[x axis]\ntop acceleration = 5000\nnote = " + "many words " * 20 + "\n"
    return reviewed({"a.ini": old}, {"a.ini": new}).changes


def upgrade(
    quantities: tuple[Quantity, ...] = (), *, told: tuple[Change, ...] = (), others: int = 0
) -> Upgrade:
    stale = {"evidence/09-30.toml": ("[motor x] run current was 0.6 A and is 0.8 A now",)}
    ceiling = next((one for one in quantities if one.change is not None), None)
    rates = (Acceleration("axis x", 3000.0, 5000.0, ceiling), Acceleration("axis y", None, 500.0, None))
    return Upgrade("stork.ini", BEFORE, AFTER, told, others, quantities, rates, stale, 2)


def quantities_of(before: list[Result], after: list[Result]) -> tuple[Quantity, ...]:
    kind = MeasurementKind.RESONANCE
    records = (
        record("10-30", *after, kind=kind, part="axis x"),
        record("09-30", *before, kind=kind, part="axis x"),
    )
    return compare_evidence(Evidence(records), SPAN)


def one_quantity(before: float, after: float, unit: str) -> Quantity:
    (found,) = quantities_of([Result("a", before, unit, 5, 1e-6)], [Result("a", after, unit, 5, 1e-6)])
    return found


def fits(found: Upgrade, width: int) -> str:
    lines = list(comparison_lines(found, width))
    for one in lines:
        assert breadth(plain(one)) <= width, plain(one)
    return " ".join(" ".join(plain(one) for one in lines).split())


@settings(max_examples=80, deadline=None)
@given(st.lists(RESULTS, max_size=4), st.lists(RESULTS, max_size=4), st.integers(40, 120))
def test_any_records(before: list[Result], after: list[Result], width: int) -> None:
    same = [one._replace(value=one.value / 2) for one in before]
    found = upgrade(quantities_of(before, [*after, *same]), told=changes(), others=3)
    fits(found, width)
    assert json.loads(dump(comparison_form(found)))["schema"] == 1
    rows = [line for line in comparison_markdown(found).splitlines() if line.startswith("|")]
    for row in rows:
        assert row.replace("\\\\", "").replace("\\|", "").count("|") == 6, row


@pytest.mark.parametrize("width", [40, 80, 120])
def test_what_is_told(width: int) -> None:
    before, after = (
        Result("natural frequency", 48.2, "Hz", 3, 0.3),
        Result("natural frequency", 61.2, "Hz", 3, 0.3),
    )
    out = fits(upgrade(quantities_of([before], [after]), told=changes(), others=1), width)
    assert "natural frequency 48.2 → 61.2 Hz (+13 Hz, +27 %)" in out
    assert "stale before: measured on 2026-09-30, no measurement of good/2026-10-01: [motor x]" in out
    assert "top acceleration 3000 → 5000 (+67 %)" in out
    assert "axis x: 3000 → 5000 mm/s² (+67 %); measured ceiling 48.2 → 61.2 Hz (+27 %)" in out
    assert "axis y: nothing → 500 mm/s²" in out
    assert "axis x natural frequency: better, +27 % (stale)" in out
    assert "1 quantity: 1 better." in out
    assert "2 files among the evidence cannot be read as records" in out


def test_nothing_to_tell() -> None:
    assert "Nothing was measured on either side" in fits(upgrade(), 40)
    assert "Nothing was measured on either side" in comparison_markdown(upgrade())


def test_many_tests_are_doubted() -> None:
    results = [Result(f"q{number}", 1.0, "mm", 3, 0.1) for number in range(6)]
    assert "6 were tested, each to 95 %" in fits(upgrade(quantities_of(results, results)), 80)
    assert "were tested" not in fits(upgrade(quantities_of(results[:2], results[:2])), 80)


@pytest.mark.parametrize(
    ("amount", "told"),
    [(48.2, "48.2"), (0.0, "0"), (-0.0, "0"), (3520.4, "3520"), (12345.0, "12345"), (0.00081234, "0.0008123"),
     (0.0000512, "0.0000512"), (5e-12, "5.00e-12"),
     (-5.0, "−5"), (1e7, "10000000")],
)  # fmt: skip
def test_amounts(amount: float, told: str) -> None:
    assert amount_text(amount) == told


@pytest.mark.parametrize(
    ("amount", "told"), [(13.01, "+13"), (-0.0023, "−0.0023"), (0.0, "0"), (3214.0, "+3210")]
)
def test_signed_amounts(amount: float, told: str) -> None:
    assert signed(amount) == told


@pytest.mark.parametrize(
    ("share", "told"), [(0.2697, "+27 %"), (-0.0041, "−0.41 %"), (1.5, "+150 %"), (0.0, "0 %")]
)
def test_shares(share: float, told: str) -> None:
    assert percent(share) == told


@pytest.mark.parametrize(
    ("before", "after", "unit", "both", "change", "verdict"),
    [
        (88.0, 93.0, "%", "88 → 93 %", "+5 points", "different, +5 points"),
        (2.0, 3.0, "1", "2 → 3", "+1, +50 %", "different, +50 %"),
        (20.0, 30.0, "°C", "20 → 30 °C", "+10 °C", "different, +10 °C"),
        (2.0, 2.0, "mm", "2 → 2 mm", "0 mm, 0 %", "no difference shown"),
    ],
)
def test_differences(before: float, after: float, unit: str, both: str, change: str, verdict: str) -> None:
    found = one_quantity(before, after, unit)
    assert (values(found), change_text(found)) == (both, change)
    assert conclusion(found, upgrade()._replace(stale={})) == verdict


def test_sides_without_a_common_unit_are_told_with_their_own() -> None:
    (found,) = quantities_of([Result("a", 100.0, "Hz")], [Result("a", 6000.0, "1/min")])
    assert found.verdict is Verdict.UNLIKE
    assert values(found) == "100 Hz → 6000 1/min"
    assert change_text(found) == ""
