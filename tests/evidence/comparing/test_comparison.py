"""What may be said of before and after: which records count, and what is better, worse or not shown."""

from __future__ import annotations

from datetime import UTC, datetime
from math import isfinite, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.evidence.comparing.comparison import compare_evidence, pooled
from cfgaudit.evidence.comparing.quantity import Quantity, Verdict, counts
from cfgaudit.evidence.comparing.sides import Span
from cfgaudit.evidence.comparing.variances import Deviation, Ratio, compare_deviations, pooled_deviation
from cfgaudit.evidence.records.record import Evidence, MeasurementKind, Record, Result
from cfgaudit.evidence.statistics import Difference
from evidence.compared import NEW, OLD, SPAN, compared, record, sampled

FEW = st.lists(st.floats(-1000, 1000), min_size=1, max_size=8)


def result(values: list[float]) -> Result:
    spread = float(np.std(values, ddof=1)) if len(values) > 1 else None
    return Result("time", float(np.mean(values)), "min", len(values), spread)


@settings(max_examples=60, deadline=None)
@given(st.lists(FEW, min_size=1, max_size=5))
def test_pooled_summaries_are_the_summary_of_all_values(series: list[list[float]]) -> None:
    """Against numpy on the values themselves."""
    every = np.concatenate(series)
    found = pooled([result(values) for values in series])
    assert found.size == len(every)
    assert found.mean == pytest.approx(np.mean(every), rel=1e-9, abs=1e-9)
    if len(every) == 1:
        assert found.spread is None
    else:
        assert found.spread == pytest.approx(np.std(every, ddof=1), rel=1e-6, abs=1e-9)


def test_what_was_computed_from_samples_without_a_spread_is_one_value_a_record() -> None:
    ranges = [Result("range", value, "mm", 20) for value in (0.011, 0.013, 0.012)]
    found = pooled(ranges)
    assert (found.size, found.mean) == (3, pytest.approx(0.012))
    assert found.spread == pytest.approx(0.001)


@settings(max_examples=60, deadline=None)
@given(st.lists(FEW.filter(lambda values: len(values) > 1), min_size=1, max_size=5))
def test_pooled_deviations_are_those_within_the_series(series: list[list[float]]) -> None:
    """Against numpy: the sum of squares about each series's own mean, over its degrees of freedom."""
    squares = sum(float(np.sum((np.array(values) - np.mean(values)) ** 2)) for values in series)
    freedom = sum(len(values) - 1 for values in series)
    found = pooled_deviation([Result("", result(v).spread or 0.0, "mm", len(v)) for v in series])
    assert found is not None
    assert found.freedom == freedom
    assert found.value == pytest.approx(sqrt(squares / freedom), rel=1e-6, abs=1e-9)


@pytest.mark.parametrize(
    ("before", "after", "better", "verdict"),
    [
        ([48.2, 47.9, 48.5], [61.2, 60.9, 61.5], "higher", Verdict.BETTER),
        ([61.2, 60.9, 61.5], [48.2, 47.9, 48.5], "higher", Verdict.WORSE),
        ([48.2, 47.9, 48.5], [61.2, 60.9, 61.5], "lower", Verdict.WORSE),
        ([61.2, 60.9, 61.5], [48.2, 47.9, 48.5], "lower", Verdict.BETTER),
        ([48.2, 47.9, 48.5], [61.2, 60.9, 61.5], "", Verdict.DIFFERENT),
        ([48.2, 47.9, 48.5], [48.3, 48.0, 48.1], "higher", Verdict.NOT_SHOWN),
    ],
)
def test_verdicts(before: list[float], after: list[float], better: str, verdict: Verdict) -> None:
    assert sampled(before, after, better=better).verdict is verdict


@pytest.mark.parametrize(
    ("before", "after", "why"),
    [
        ([1.0], [1000.0], "one measurement each"),
        ([1.0], [1000.0, 1001.0], "one measurement before"),
        ([1.0, 1.1], [1000.0], "one measurement after"),
        ([1.0, 1.0], [2.0, 2.0, 2.0], "all repetitions are equal"),
    ],
)
def test_no_statement_is_made(before: list[float], after: list[float], why: str) -> None:
    found = sampled(before, after, better="higher")
    assert (found.verdict, found.why, found.test) == (Verdict.UNTOLD, why, None)
    assert found.change is not None, "the numbers are still told"


def test_what_never_changed_shows_no_difference() -> None:
    found = sampled([1.0, 1.0], [1.0, 1.0, 1.0])
    assert (found.verdict, found.test, found.why) == (Verdict.NOT_SHOWN, None, "")
    assert sampled([1.0], [1.0]).verdict is Verdict.UNTOLD


def test_a_ceiling_is_measured_as_anything_else() -> None:
    """Each run gives its own, so that repetitions tell whether it rose: t = 5000 ÷ √(2 · 200² ÷ 3)."""
    records = [
        record(f"{day}", Result("acceleration ceiling", value, "mm/s²"), kind=MeasurementKind.RESONANCE)
        for day, value in zip(
            ("09-28", "09-29", "09-30", "10-28", "10-29", "10-30"),
            (9000.0, 9200.0, 9400.0, 14000.0, 14200.0, 14400.0),
            strict=True,
        )
    ]
    found = compared(*records)["acceleration ceiling"]
    assert found.verdict is Verdict.BETTER
    assert isinstance(found.test, Difference)
    assert found.test.value == pytest.approx(5000.0)


def ratios(before: list[float], after: list[float], better: str = "") -> Quantity:
    """Tension ratios, one record each."""
    name = "tension ratio"
    days = [(f"09-{day:02}", value) for day, value in enumerate(before, 1)]
    days += [(f"10-{day:02}", value) for day, value in enumerate(after, 2)]
    records = [
        record(day, Result(name, value, "1", better=better), kind=MeasurementKind.BELTS, part="belts")
        for day, value in days
    ]
    return compared(*records)[name]


@pytest.mark.parametrize(
    ("before", "after", "verdict"),
    [
        ([1.090, 1.092, 1.094], [1.051, 1.053, 1.055], Verdict.BETTER),
        ([1.051, 1.053, 1.055], [1.090, 1.092, 1.094], Verdict.WORSE),
        ([0.910, 0.912, 0.914], [0.960, 0.962, 0.964], Verdict.BETTER),
        ([0.960, 0.962, 0.964], [0.910, 0.912, 0.914], Verdict.WORSE),
        ([0.900, 0.902, 0.904], [1.019, 1.021, 1.023], Verdict.BETTER),
        ([0.799, 0.800, 0.801], [1.249, 1.250, 1.251], Verdict.DIFFERENT),  # 0.8 = 1 ÷ 1.25
        ([1.249, 1.250, 1.251], [0.799, 0.800, 0.801], Verdict.DIFFERENT),
        (
            [0.819, 0.820, 0.821],
            [1.199, 1.200, 1.201],
            Verdict.BETTER,
        ),  # 0.18 and 0.20 apart, × 1.22 and × 1.20
        ([0.99, 1.00, 1.01], [0.985, 1.000, 1.015], Verdict.NOT_SHOWN),
        ([1.02, 1.10, 1.16], [1.00, 1.05, 1.10], Verdict.NOT_SHOWN),
        ([1.092], [1.003], Verdict.UNTOLD),
    ],
)
def test_the_nearer_to_one_the_better(before: list[float], after: list[float], verdict: Verdict) -> None:
    """The verdicts by hand: a ratio and its inverse are the same belts, named the other way round."""
    assert ratios(before, after).verdict is verdict


@settings(max_examples=60, deadline=None)
@given(*[st.lists(st.floats(0.5, 2.0), min_size=2, max_size=5)] * 2)
def test_naming_the_belts_the_other_way_round_never_turns_a_verdict(
    before: list[float], after: list[float]
) -> None:
    one = ratios(before, after)
    other = ratios([1 / value for value in before], [1 / value for value in after])
    assert {one.verdict, other.verdict} != {Verdict.BETTER, Verdict.WORSE}
    shown = {Verdict.BETTER, Verdict.WORSE}
    if {one.verdict, other.verdict} <= shown:
        assert one.verdict is other.verdict


def test_a_records_own_word_comes_before_the_nearest() -> None:
    assert ratios([1.090, 1.092, 1.094], [1.051, 1.053, 1.055], better="higher").verdict is Verdict.WORSE
    assert ratios([1.090, 1.092], [1.051, 1.053]).nearest == 1.0
    assert ratios([-1.0, 0.5], [1.0, 1.1]).verdict in (Verdict.NOT_SHOWN, Verdict.DIFFERENT)


HEATED = MeasurementKind.HEATUP


def heated(day: str, top: float, rise: float, output: float, name: str = "full output") -> Record:
    results = [
        Result("rise at top", rise, "K/s"), Result("gain margin", 2.0 + rise, "1"), Result("top", top, "°C"),
        Result(name, output, "1"),
    ]  # fmt: skip
    return record(day, *results, kind=HEATED, part="heater bed")


def test_a_rise_at_another_temperature_is_not_compared() -> None:
    """A heater is slower where it is hotter: no upgrade makes it rise twice as fast at 60 as at 105 °C."""
    found = compared(heated("09-30", 105.0, 0.06, 255), heated("10-30", 60.0, 0.12, 255))
    assert found["rise at top"].verdict is Verdict.UNLIKE
    assert found["rise at top"].why == "top 105 °C before, 60 °C after"
    assert found["rise at top"].change is None
    assert found["gain margin"].verdict is Verdict.UNTOLD
    near = compared(heated("09-30", 105.0, 0.06, 255), heated("10-30", 106.5, 0.07, 255))
    assert near["rise at top"].verdict is Verdict.UNTOLD
    assert set(near) == {"rise at top", "gain margin"}


def test_margins_for_another_full_output_are_not_compared() -> None:
    """What was assumed before and is stated now may be another regulator on paper only."""
    before = heated("09-30", 105.0, 0.06, 255, "assumed full output")
    after = compared(before, heated("10-30", 105.0, 0.06, 100))["gain margin"]
    assert (after.verdict, after.why) == (Verdict.UNLIKE, "full output 255 before, 100 after")
    assert compared(before, heated("10-30", 105.0, 0.06, 255))["gain margin"].verdict is Verdict.UNTOLD


def test_margins_have_no_better_side() -> None:
    """Textbooks wish for gain margins of 2 to 5: more is slower, not better."""
    days = [(f"09-{day}", 2.0 + day / 100) for day in (11, 12, 13)]
    days += [(f"10-{day}", 9.0 + day / 100) for day in (11, 12, 13)]
    records = (
        record(day, Result("gain margin", value, "1"), kind=HEATED, part="heater bed") for day, value in days
    )
    assert compared(*records)["gain margin"].verdict is Verdict.DIFFERENT


@settings(max_examples=60, deadline=None)
@given(st.floats(0.001, 1000), st.floats(0.001, 1000), st.lists(st.integers(2, 9), min_size=2, max_size=4))
def test_equal_values_do_not_spread(before: float, after: float, sizes: list[int]) -> None:
    """The mean of equal values is that value: what a sum of floats is off by is no spread."""
    results = [[Result("a", value, "mm", size, 0.0) for size in sizes] for value in (before, after)]
    assert [pooled(side).spread for side in results] == [0.0, 0.0]
    days = [(f"{month}-{day:02}", one) for month, side in zip(("09", "10"), results, strict=True)
            for day, one in enumerate(side, 2)]  # fmt: skip
    found = compared(*(record(day, one) for day, one in days))["a"]
    assert found.test is None
    assert found.verdict is (Verdict.NOT_SHOWN if before == after else Verdict.UNTOLD)


def test_conditions_are_not_compared() -> None:
    kind = MeasurementKind.HEATUP
    results = Result("ambient", 20.0, "°C"), Result("gain", 200.0, "K")
    assert set(compared(record("10-30", *results, kind=kind, part="heater bed"))) == {"gain"}


def test_one_side_alone() -> None:
    found = compared(record("09-30", Result("a", 1.0, "mm")), record("10-30", Result("b", 1.0, "mm")))
    assert found["a"].verdict is Verdict.ONLY_BEFORE
    assert found["b"].verdict is Verdict.ONLY_AFTER
    assert found["a"].change is found["a"].relative is None


@pytest.mark.parametrize(("left", "right"), [("mm", "mm/s"), ("Hz", "1/min"), ("MHz", "mHz"), ("1", "%")])
def test_other_units_are_not_compared(left: str, right: str) -> None:
    found = compared(record("09-30", Result("a", 1.0, left)), record("10-30", Result("a", 60.0, right)))["a"]
    assert found.verdict is Verdict.UNLIKE
    assert (left in found.why, right in found.why) == (True, True)
    assert found.change is found.relative is None


@pytest.mark.parametrize(("left", "right"), [("mm/s²", "mm/s2"), ("1", ""), ("1 / s", "1/s")])
def test_one_unit_in_two_spellings(left: str, right: str) -> None:
    found = compared(record("09-30", Result("a", 1.0, left)), record("10-30", Result("a", 2.0, right)))["a"]
    assert found.change == 1.0


def test_a_record_with_samples_is_a_sample() -> None:
    """1..5 against 3..7 by hand: error √(2.5/5 + 2.5/5) = 1, ν = 8; tables give t(0.975; 8) = 2.306."""
    before = record("09-30", Result("time", 3.0, "min", 5, sqrt(2.5)))
    after = record("10-30", Result("time", 5.0, "min", 5, sqrt(2.5)))
    found = compared(before, after)["time"]
    assert isinstance(found.test, Difference)
    assert (found.test.low, found.test.high) == pytest.approx((2 - 2.306, 2 + 2.306), abs=0.001)
    assert found.verdict is Verdict.NOT_SHOWN


@pytest.mark.parametrize(
    ("before", "after", "verdict"),
    [
        (0.0031, 0.0008, Verdict.BETTER),
        (0.0008, 0.0031, Verdict.WORSE),
        (0.0009, 0.0008, Verdict.NOT_SHOWN),
        (0.0, 0.0008, Verdict.UNTOLD),
    ],
)
def test_spreads_are_compared_as_spreads(before: float, after: float, verdict: Verdict) -> None:
    kind = MeasurementKind.REPEATABILITY
    records = [
        record(day, Result("standard deviation", value, "mm", 20), kind=kind, part="probe")
        for day, value in (("09-30", before), ("10-30", after))
    ]
    found = compared(*records)["standard deviation"]
    assert found.verdict is verdict
    assert isinstance(found.test, Ratio) == (verdict is not Verdict.UNTOLD)


def test_spreads_of_one_reading_say_nothing() -> None:
    kind = MeasurementKind.REPEATABILITY
    records = [record(day, Result("standard deviation", 1.0, "mm"), kind=kind) for day in ("09-30", "10-30")]
    assert compared(*records)["standard deviation"].why == "one measurement each"


def test_a_ratio_is_turned_when_sides_are() -> None:
    one, other = Deviation(2.0, 9), Deviation(3.0, 14)
    there, back = compare_deviations(one, other), compare_deviations(other, one)
    assert there is not None
    assert back is not None
    assert there.chance == pytest.approx(back.chance)
    assert (1 / back.high, 1 / back.low) == pytest.approx((there.low, there.high))


def test_the_newest_settings_of_a_side_count() -> None:
    found = compared(
        record("09-01", Result("a", 90.0, "mm"), digest="f" * 64),
        record("09-02", Result("a", 1.0, "mm")),
        record("09-03", Result("a", 3.0, "mm")),
        record("10-30", Result("a", 5.0, "mm")),
    )["a"]
    assert found.before is not None
    assert found.before.summary.size == 2
    assert found.before.summary.mean == 2.0


def test_what_was_measured_later_is_left_out() -> None:
    assert compared(record("11-02", Result("a", 1.0, "mm"))) == {}
    until_now = Span(SPAN.before, None, OLD)
    assert compared(record("11-02", Result("a", 1.0, "mm")), span=until_now)["a"].after is not None


def test_one_recording_is_one_measurement_however_often_it_is_computed() -> None:
    records = [record(f"09-{day:02}", Result("a", day / 1000, "mm"), raw="ab" * 32) for day in (1, 2, 3)]
    found = compared(*records)["a"]
    assert found.before is not None
    assert (found.before.summary.size, found.before.summary.mean) == (1, 0.003)


def test_records_that_do_not_say_their_settings_repeat_nothing() -> None:
    records = [record(day, Result("a", 1.0, "mm"))._replace(digest="") for day in ("09-01", "09-02", "10-30")]
    found = compared(*records)["a"]
    assert found.before is not None
    assert found.before.summary.size == 1


def test_a_declared_change_of_hardware_ends_repetition() -> None:
    kind = MeasurementKind.RESONANCE
    runs = [record(day, Result("a", 1.0, "Hz"), kind=kind, part="axis x") for day in ("09-01", "09-20")]
    rails = record("09-10", kind=MeasurementKind.HARDWARE, part="new rails", affects=("axis.x",))
    other = rails._replace(affects=("axis.y",))
    sizes = [
        side.summary.size for rebuilt in (rails, other) if (side := compared(*runs, rebuilt)["a"].before)
    ]
    assert sizes == [1, 2]


@pytest.mark.parametrize(
    ("digest", "affects", "is_before"),
    [
        (OLD, ("axis.x",), True),
        (OLD, ("axis.y",), False),
        (NEW, ("axis.x",), False),
        (OLD, (), False),
    ],
)
def test_measured_after_the_mark_and_before_the_new_hardware(
    digest: str, affects: tuple[str, ...], is_before: bool
) -> None:
    kind = MeasurementKind.RESONANCE
    run = record("10-05", Result("a", 1.0, "Hz"), kind=kind, part="axis x", digest=digest)
    rebuilt = record("10-10", kind=MeasurementKind.HARDWARE, part="new rails", affects=affects)
    found = compared(run, rebuilt)["a"]
    assert (found.before is not None, found.after is not None) == (is_before, not is_before)


def test_hours_and_declarations_are_no_quantities() -> None:
    hours = record("10-30", Result("hours", 5.0, "h"), kind=MeasurementKind.HOURS, part="belt x")
    assert compared(hours, record("10-30", kind=MeasurementKind.HARDWARE, part="rails")) == {}


def test_names_and_parts_are_one_in_any_spelling() -> None:
    found = compared(
        record("09-30", Result("Print time", 1.0, "min"), part="Print-Time"),
        record("10-30", Result("print-time", 2.0, "min"), part="print time"),
    )
    assert [one.change for one in found.values()] == [1.0]


def test_quantities_of_a_part_stand_together_in_the_order_of_their_record() -> None:
    kind = MeasurementKind.RESONANCE
    results = (Result("z", 1.0, "Hz"), Result("a", 1.0, "1"))
    records = [
        record("10-29", Result("m", 1.0, "1")),
        record("10-28", *results, kind=kind, part="axis y"),
        record("10-27", *results, kind=kind, part="axis x"),
    ]
    found = compare_evidence(Evidence(tuple(records)), SPAN)
    assert [(one.part, one.name) for one in found] == [
        ("axis x", "z"),
        ("axis x", "a"),
        ("axis y", "z"),
        ("axis y", "a"),
        ("run", "m"),
    ]


@pytest.mark.parametrize(
    ("name", "unit", "before", "after", "relative"),
    [
        ("a", "mm", 2.0, 3.0, 0.5),
        ("a", "mm", -2.0, -3.0, -0.5),
        ("a", "mm", -2.0, 3.0, None),
        ("a", "mm", 0.0, 3.0, None),
        ("a", "°C", 20.0, 30.0, None),
    ],
)
def test_shares(name: str, unit: str, before: float, after: float, relative: float | None) -> None:
    assert sampled([before], [after], name, unit=unit).relative == relative


def test_where_a_probe_finds_the_bed_has_no_share() -> None:
    kind = MeasurementKind.REPEATABILITY
    records = [record(day, Result("mean", 1.0, "mm", 5, 0.1), kind=kind) for day in ("09-30", "10-30")]
    assert compared(*records)["mean"].relative is None


@pytest.mark.parametrize("names", ["acceleration ceiling", "natural frequency"])
@pytest.mark.parametrize(("before", "after"), [(3500.0, 3800.0), (6700.0, 9300.0)])
def test_ordinary_gains_are_never_worse(names: str, before: float, after: float) -> None:
    """Common practice, no source: what well-tuned machines gain on MZV."""
    kind = MeasurementKind.RESONANCE
    for spread in (1.0, 100.0, 5000.0):
        records = [
            record(day, Result(names, value, "mm/s²", 4, spread), kind=kind, part="axis x")
            for day, value in (("09-30", before), ("10-30", after))
        ]
        assert compared(*records)[names].verdict in (Verdict.BETTER, Verdict.NOT_SHOWN)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.floats(allow_nan=False, allow_infinity=False), min_size=1, max_size=4),
    st.lists(st.floats(allow_nan=False, allow_infinity=False), min_size=1, max_size=4),
)
def test_any_numbers(before: list[float], after: list[float]) -> None:
    found = sampled(before, after, better="lower")
    assert counts([found]) == {found.verdict: 1}
    assert found.test is None or all(map(isfinite, found.test))
    assert found.relative is None or isfinite(found.relative)


def test_dates_are_compared_across_time_zones() -> None:
    span = Span(datetime(2026, 10, 1, 12, 30, tzinfo=UTC), None, OLD)
    one = record("10-01", Result("a", 1.0, "mm"))._replace(
        date=datetime.fromisoformat("2026-10-01T14:00:00+02:00")
    )
    assert compared(one, span=span)["a"].before is not None
