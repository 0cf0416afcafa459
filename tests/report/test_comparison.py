"""The reports of ``compare`` fit every width and form, whatever the names and numbers in the records."""

from __future__ import annotations

import json
import re
from functools import cache

import pytest
from evidence.compared import SPAN, record
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.evidence.comparing.comparison import compare_evidence
from cfgaudit.evidence.comparing.quantity import Quantity, Verdict
from cfgaudit.evidence.records.record import Evidence, MeasurementKind, Result
from cfgaudit.history.change import Change, Revision
from cfgaudit.history.upgrade import Acceleration, Upgrade
from cfgaudit.report.comparison import comparison_lines
from cfgaudit.report.comparison_amounts import (
    amount_text,
    change_text,
    growth_text,
    sides_text,
    signed,
    values,
)
from cfgaudit.report.comparison_json import comparison_form
from cfgaudit.report.comparison_markdown import comparison_markdown
from cfgaudit.report.comparison_words import acceleration_text, conclusion, gist, titles
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


@pytest.mark.parametrize(
    ("amount", "told"),
    [
        (1e300, "1e+300 Hz"),
        (-1.7976931348623157e308, "−1.8e+308 Hz"),
        (1.234e15, "1.23e+15 Hz"),
        (999_999_999_999_999.0, "999999999999999 Hz"),
    ],
)
def test_numbers_without_end_have_an_exponent(amount: float, told: str) -> None:
    assert amount_text(amount, "Hz") == told


@pytest.mark.parametrize("unit", ["Hz", "%", "1", "mm", "°C"])
@pytest.mark.parametrize(("before", "after"), [(1.0, 1e300), (1e300, 1.0), (-1e300, 1e300), (1e300, 1.1e300)])
def test_no_report_prints_hundreds_of_digits(before: float, after: float, unit: str) -> None:
    found = one_quantity(before, after, unit)
    whole = " ".join([values(found), change_text(found), *sides_text(found), fits(upgrade((found,)), 80)])
    assert re.search(r"\d{18}", whole.replace(",", "")) is None, whole


def one_quantity(before: float, after: float, unit: str) -> Quantity:
    (found,) = quantities_of([Result("a", before, unit, 5, 0.1)], [Result("a", after, unit, 5, 0.1)])
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
    assert "natural frequency 48.2 → 61.2 Hz, +13.00 ± 0.68 Hz, +27 %" in out, "t(0.975; 4) = 2.776, × 0.245"
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
    """At 95 % one of twenty that are the same looks changed."""
    results = [Result(f"q{number}", 1.0, "mm", 3, 0.1) for number in range(50)]

    def told(count: int) -> str:
        return fits(upgrade(quantities_of(results[:count], results[:count])), 80)

    assert "6 tests at 95 %: one may be a false alarm." in told(6)
    assert "17 tests at 95 %: expect about one false alarm." in told(17)
    assert "45 tests at 95 %: expect about 2 false alarms." in told(45)
    assert "false alarm" not in told(2)


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
    assert growth_text(share) == told


@pytest.mark.parametrize(
    ("before", "after", "unit", "both", "change", "verdict"),
    [
        (88.0, 93.0, "%", "88 → 93 %", "+5.00 ± 0.15 points", "different, +5 points"),
        (2.0, 3.0, "1", "2 → 3", "+1.00 ± 0.15, +50 %", "different, +50 %"),
        (20.0, 30.0, "°C", "20 → 30 °C", "+10.00 ± 0.15 °C", "different, +10 °C"),
        (2.0, 2.0, "mm", "2 mm as before", "0.00 ± 0.15 mm, 0 %", "no difference shown"),
        (80.0, 61.25, "deg", "80.00 → 61.25°", "−18.75 ± 0.15°, −23 %", "different, −23 %"),
        (62.0, 61.4, "Hz", "62.0 → 61.4 Hz", "−0.60 ± 0.15 Hz, −0.97 %", "different, −0.97 %"),
        (0.3, 12.0, "s", "0.3 → 12.0 s", "+11.70 ± 0.15 s, × 40", "different, × 40"),
        (0.001, 700.0, "s", "0.001 → 700 s", "+700.00 ± 0.15 s", "different, +700 s"),
        (-3.0, 2.0, "mm", "−3 → 2 mm", "+5.00 ± 0.15 mm", "different, +5 mm"),
    ],
)
def test_differences(before: float, after: float, unit: str, both: str, change: str, verdict: str) -> None:
    found = one_quantity(before, after, unit)
    assert (values(found), change_text(found)) == (both, change)
    assert conclusion(found, upgrade()._replace(stale={})) == verdict


@pytest.mark.parametrize(
    ("name", "before", "after", "unit", "both", "change"),
    [
        ("drift", 0.00005733, 0.000005639, "mm", "0.0573 → 0.0056 µm", "−0.0517 µm, −90 %"),
        ("range", 0.00625, 0.0025, "mm", "6.25 → 2.50 µm", "−3.75 µm, −60 %"),
        ("mean", 1.8656, 1.872, "mm", "1.866 → 1.872 mm", "+6.4 µm, +0.34 %"),
        ("gap", 0.00012, 0.0, "mm", "0.12 → 0.00 µm", "−0.12 µm"),
        ("remaining vibration", 0.03221, 0.0257, "1", "3.221 → 2.570 %", "−0.651 points"),
        ("tension ratio", 0.9995, 0.9991, "1", "0.9995 → 0.9991", "−0.0004, −0.04 %"),
        ("speed", 5e-6, 6e-6, "mm/s", "0.000005 → 0.000006 mm/s", "+0.000001 mm/s, +20 %"),
    ],
)
def test_numbers_have_units_and_digits_for_people(
    name: str, before: float, after: float, unit: str, both: str, change: str
) -> None:
    """1 mm = 1000 µm, a share of 1 is 100 %; both sides with the same decimals."""
    (found,) = quantities_of([Result(name, before, unit)], [Result(name, after, unit)])
    assert (values(found), change_text(found)) == (both, change)
    form = comparison_form(upgrade((found,)))["quantities"][0]
    assert (form["before"]["value"], form["before"]["unit"], form["after"]["value"]) == (before, unit, after)


@given(st.lists(st.floats(1e-6, 1e6), min_size=2, max_size=2), st.sampled_from(["mm", "Hz", "1", "%", "deg"]))
def test_what_is_shown_is_what_was_measured(numbers: list[float], unit: str) -> None:
    """Off by at most half of a unit of the third digit of the larger, or of the fourth of one's own."""
    (found,) = quantities_of(*([Result("a", number, unit)] for number in numbers))
    for text, number in zip(sides_text(found), numbers, strict=True):
        told = float(text.rstrip("°").split(" ")[0]) / (1000.0 if text.endswith("µm") else 1.0)
        assert told == pytest.approx(number, rel=5.1e-4, abs=max(5.1e-3 * max(numbers), 0.0))


def test_a_ratio_of_deviations_has_its_bounds() -> None:
    """F = 4 with 19 and 19 degrees of freedom; F(0.975; 19, 19) = 2.526 by tables: 4 ÷ and × 2.526, and roots
    of these 1.258 and 3.179: +26 to +218 %."""
    results = [Result("standard deviation", value, "mm", 20) for value in (0.001, 0.002)]
    (found,) = quantities_of(results[:1], results[1:])
    assert change_text(found) == "+1 µm, +100 % (+26 to +220 %)"


def test_the_gist_comes_first() -> None:
    def several(value: float, better: str = "") -> list[Result]:
        names = ("rise", "fall", "turn", "rest")
        ends = (value, -value, value, 0.0)
        ways = ("higher", "higher", "", "higher")
        return [
            Result(name, 10.0 + end, "s", 5, 0.1, way)
            for name, end, way in zip(names, ends, ways, strict=True)
        ]

    found = upgrade(
        quantities_of([*several(0.0), Result("once", 1.0, "s")], [*several(1.0), Result("once", 9.0, "s")])
    )
    assert dict(gist(found._replace(stale={}))) == {
        "better": "axis x rise +10 %",
        "worse": "axis x fall −10 %",
        "different": "axis x turn +10 %",
        "else": "1 no difference shown, 1 no statement",
    }
    told = fits(found, 80)
    assert told.index("Better") < told.index("axis x rise +10 % (stale)") < told.index("Verdicts")
    assert "1 quantity was measured once on a side: only several measurements tell" in told
    verdicts = told.partition("Verdicts")[2]
    for name in ("rise", "fall", "turn"):
        assert verdicts.count(f"axis x {name}: ") == 1, "one verdict a quantity"
    assert (
        "no difference shown (stale): axis x rest no statement, one measurement each (stale): axis x once"
        in verdicts
    )


def test_what_was_measured_on_one_side_takes_few_lines() -> None:
    found = upgrade(
        quantities_of([Result("a", 1.5, "s"), Result("b", 2.0, "Hz"), Result("c", 0.002, "mm")], [])
    )
    assert "axis x, resonance: measured before only a 1.5 s; b 2 Hz; c 2 µm" in fits(found, 80)


def test_a_doubtful_record_leaves_its_mark_on_every_verdict() -> None:
    after, before = (
        record(day, Result("a", value, "s", 5, 0.1), kind=MeasurementKind.HEATUP, part="heater bed")
        for day, value in (("10-30", 9.0), ("09-30", 1.0))
    )
    found = compare_evidence(Evidence((after._replace(doubts=("it is <b>rough</b>",)), before)), SPAN)
    told = upgrade(found)._replace(stale={})
    text = fits(told, 80)
    assert "Different heater bed a +800 % (doubtful)" in text
    assert "doubtful after: measured on 2026-10-30: it is <b>rough</b>" in text
    assert "heater bed a: different, +800 % (doubtful)" in text
    assert "<b>" not in comparison_markdown(told)
    assert comparison_form(told)["quantities"][0]["after"]["doubts"] == ["it is <b>rough</b>"]


def test_nothing_shown_is_said_at_once() -> None:
    found = upgrade(quantities_of([Result("a", 1.0, "s")], [Result("a", 9.0, "s")]))
    assert tuple(gist(found)) == (("nothing shown", "1 no statement"),)
    assert "Nothing shown 1 no statement" in fits(found, 60)


def test_sides_without_a_common_unit_are_told_with_their_own() -> None:
    (found,) = quantities_of([Result("a", 100.0, "Hz")], [Result("a", 6000.0, "1/min")])
    assert found.verdict is Verdict.UNLIKE
    assert values(found) == "100 Hz → 6000 1/min"
    assert change_text(found) == ""


def test_what_is_nearer_to_the_best_number_says_so() -> None:
    kind = MeasurementKind.BELTS
    days = (("09-28", 1.090), ("09-29", 1.092), ("10-28", 1.051), ("10-29", 1.053))
    records = tuple(
        record(day, Result("tension ratio", value, "1"), kind=kind, part="belts") for day, value in days
    )
    (found,) = compare_evidence(Evidence(records[::-1]), SPAN)
    told = upgrade((found,))._replace(stale={})
    assert conclusion(found, told) == "better, nearer to 1, −3.6 %"
    assert dict(gist(told)) == {"better": "belts tension ratio 1.091 → 1.052"}
    assert comparison_form(told)["quantities"][0]["nearest"] == 1.0
    worse = found._replace(verdict=Verdict.WORSE)
    assert conclusion(worse, told) == "worse, farther from 1, −3.6 %"


def test_equal_repetitions_cannot_be_tested() -> None:
    records = tuple(
        record(day, Result("a", value, "s"), kind=MeasurementKind.RESONANCE, part="axis x")
        for day, value in (("10-29", 2.0), ("10-28", 2.0), ("09-29", 1.0), ("09-28", 1.0))
    )
    (found,) = compare_evidence(Evidence(records), SPAN)
    assert conclusion(found, upgrade()._replace(stale={})) == "no test is possible, all repetitions are equal"


def test_a_ceiling_that_may_be_the_same_is_not_told_as_a_gain() -> None:
    def ceiling(*values: float) -> str:
        days = ("09-28", "09-29", "10-28", "10-29")
        records = [
            record(day, Result("acceleration ceiling", value, "mm/s²"), kind=MeasurementKind.RESONANCE)
            for day, value in zip(days, values, strict=True)
        ]
        (found,) = compare_evidence(Evidence(tuple(records[::-1])), SPAN)
        return acceleration_text(Acceleration("axis x", 5000.0, 6500.0, found))

    told = "axis x: 5000 → 6500 mm/s² (+30 %); measured ceiling"
    assert ceiling(9180, 9190, 14790, 14810) == f"{told} 9185 → 14800 mm/s² (+61 %)"
    assert ceiling(9100, 9300, 9150, 9310) == f"{told} 9200 → 9230 mm/s², no difference shown"
    assert acceleration_text(Acceleration("axis x", 5000.0, 6500.0, None)) == told.partition(";")[0]


def test_quantities_of_one_part_are_named_together() -> None:
    before, after = ([Result(name, value, "s", 5, 0.1) for name in ("a", "b")] for value in (9.0, 18.0))
    found = upgrade(quantities_of(before, after))._replace(stale={})
    assert dict(gist(found)) == {"different": "axis x a +100 %, b +100 %"}
    assert titles(found.quantities) == "axis x a, b"
