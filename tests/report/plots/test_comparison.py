"""The picture of an upgrade: what stands in it, which is read back from the SVG."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree

import pytest
from evidence.compared import SPAN, record
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cfgaudit.evidence.comparing.comparison import compare_evidence
from cfgaudit.evidence.records.record import Evidence, MeasurementKind, Result
from cfgaudit.report.plots.comparison import draw_comparison
from cfgaudit.report.plots.comparison_rows import row_of
from report.test_comparison import quantities_of, upgrade


def words(tmp_path: Path, before: list[Result], after: list[Result]) -> list[str]:
    """Every text of the picture, one after the other."""
    path = tmp_path / "a.svg"
    draw_comparison(upgrade(quantities_of(before, after))._replace(stale={}), path)
    return [text for one in ElementTree.parse(path).iter() if (text := (one.text or "").strip())]


def test_what_is_left_out_says_why(tmp_path: Path) -> None:
    before = [Result(name, 1.0, "s") for name in ("a", "b", "c")] + [Result("mean", 20.0, "°C")]
    told = " ".join(words(tmp_path, before, [Result("c", 1.1, "s"), Result("mean", 22.0, "°C")]))
    assert "not drawn: 1 that cannot be given in per cent; 2 measured before only" in told
    assert "not drawn" not in " ".join(words(tmp_path, [Result("c", 1.0, "s")], [Result("c", 1.1, "s")]))


def test_a_logarithmic_scale_says_so_and_is_labelled(tmp_path: Path) -> None:
    told = words(
        tmp_path,
        [Result("a", 1.0, "s"), Result("b", 1.0, "s")],
        [Result("a", 40.0, "s"), Result("b", 0.9, "s")],
    )
    assert "% of what was measured before, on a logarithmic scale" in told
    assert {"100", "200", "500", "1000", "2000"} <= set(told)
    told = words(tmp_path, [Result("a", 1.0, "s")], [Result("a", 1.5, "s")])
    assert "% of what was measured before" in told


def test_no_words_are_cut_off(tmp_path: Path) -> None:
    name = "a name of very many words that nobody would give a quantity, and somebody did"
    told = " ".join(words(tmp_path, [Result(name, 1.0, "s")], [Result(name, 1.5, "s")]))
    assert name in told
    assert "…" not in told


def test_percentages_are_drawn_as_they_are() -> None:
    found = quantities_of(
        [Result("likeness", 83.0, "%", 3, 0.5), Result("remaining vibration", 0.03, "1")],
        [Result("likeness", 94.0, "%", 3, 0.5), Result("remaining vibration", 0.12, "1")],
    )
    rows = [row_of(one, upgrade()) for one in found]
    assert [(row.before.value, row.after.value) for row in rows if row] == [
        pytest.approx((83.0, 94.0)),
        pytest.approx((3.0, 12.0)),
    ]


def test_both_kinds_of_scales(tmp_path: Path) -> None:
    told = words(
        tmp_path,
        [Result("a", 1.0, "s"), Result("b", 40.0, "%")],
        [Result("a", 2.0, "s"), Result("b", 50.0, "%")],
    )
    assert {"% as measured", "% of what was measured before", "40 → 50 %"} <= set(told)


def test_nothing_to_draw(tmp_path: Path) -> None:
    told = words(tmp_path, [Result("a", 1.0, "s")], [])
    assert {"nothing to compare", "not drawn: 1 measured before only"} <= set(told)


AMOUNTS = st.floats(allow_nan=False, allow_infinity=False) | st.sampled_from([0.0, -1.0, 1.0, 1e-9])


@settings(max_examples=15, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(st.lists(st.tuples(AMOUNTS, AMOUNTS, st.sampled_from(["s", "%", "1"])), min_size=1, max_size=4))
def test_any_numbers_are_drawn(tmp_path: Path, numbers: list[tuple[float, float, str]]) -> None:
    before = [Result(f"q{at}", old, unit, 3, abs(old) / 10) for at, (old, _, unit) in enumerate(numbers)]
    after = [Result(f"q{at}", new, unit, 3, abs(new) / 10) for at, (_, new, unit) in enumerate(numbers)]
    assert any("Before and after" in text for text in words(tmp_path, before, after))


def test_equal_repetitions(tmp_path: Path) -> None:
    values = {"10-29": 2.0, "10-28": 2.0, "09-29": 1.0, "09-28": 1.0}
    records = [
        record(day, Result("t", value, "s"), kind=MeasurementKind.VALUE, part="t")
        for day, value in values.items()
    ]
    (found,) = compare_evidence(Evidence(tuple(records)), SPAN)
    row = row_of(found, upgrade()._replace(stale={}))
    assert row is not None
    assert row.right == "1 → 2 s\nno test is possible, all repetitions are\nequal"
