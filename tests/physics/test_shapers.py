"""Shapers: what must hold for every frequency and damping, and what is refused."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.physics.shapers import SHAPERS, Impulse, impulses
from cfgaudit.physics.shaping import (
    acceleration_ceiling,
    residual_vibration,
    rounding,
    spread,
    tolerated_band,
)

KINDS = st.sampled_from(sorted(SHAPERS))
FREQUENCIES = st.floats(5.0, 300.0)
DAMPINGS = st.floats(0.0, 0.5)


@settings(max_examples=60)
@given(kind=KINDS, frequency=FREQUENCIES, damping=DAMPINGS)
def test_shares_add_up_to_the_whole_move_and_come_in_order(
    kind: str, frequency: float, damping: float
) -> None:
    shaper = impulses(kind, frequency, damping)
    assert sum(one.share for one in shaper) == pytest.approx(1.0)
    assert all(one.share > 0 for one in shaper)
    assert shaper[0].time == 0.0
    assert list(shaper) == sorted(shaper, key=lambda one: one.time)


@settings(max_examples=60)
@given(kind=KINDS, lower=FREQUENCIES, factor=st.floats(1.0, 4.0), damping=DAMPINGS)
def test_a_higher_frequency_never_lowers_the_ceiling(
    kind: str, lower: float, factor: float, damping: float
) -> None:
    low, high = (spread(impulses(kind, one, damping)) for one in (lower, lower * factor))
    assert acceleration_ceiling(high) >= acceleration_ceiling(low) * (1 - 1e-12)


@settings(max_examples=60)
@given(kind=KINDS, frequency=FREQUENCIES, damping=DAMPINGS, budget=st.floats(0.01, 1.0))
def test_at_the_ceiling_the_budget_is_used_up(
    kind: str, frequency: float, damping: float, budget: float
) -> None:
    moment = spread(impulses(kind, frequency, damping))
    assert rounding(acceleration_ceiling(moment, budget), moment) == pytest.approx(budget)


@settings(max_examples=40)
@given(kind=KINDS, frequency=FREQUENCIES, damping=st.floats(0.0, 0.2))
def test_the_band_holds_the_frequency_that_the_shaper_is_made_for(
    kind: str, frequency: float, damping: float
) -> None:
    band = tolerated_band(impulses(kind, frequency, damping), frequency, damping)
    assert band is not None
    assert band[0] < frequency < band[1]


@settings(max_examples=40)
@given(kind=KINDS, frequency=FREQUENCIES, damping=st.floats(0.0, 0.2), share=st.floats(0.2, 3.0))
def test_at_most_all_of_a_vibration_is_left(
    kind: str, frequency: float, damping: float, share: float
) -> None:
    left = residual_vibration(impulses(kind, frequency, damping), share * frequency, damping)
    assert 0 <= left <= 1 + 1e-12


def test_without_shaping_all_is_left() -> None:
    plain = (Impulse(1.0, 0.0),)
    assert residual_vibration(plain, 40.0, 0.1) == pytest.approx(1.0)
    assert spread(plain) == 0.0
    assert tolerated_band(plain, 40.0) is None


@pytest.mark.parametrize(
    ("kind", "frequency", "damping"),
    [("XY", 50.0, 0.0), ("ZV", 0.0, 0.0), ("ZV", -4.0, 0.0), ("ZV", 50.0, 1.0), ("ZV", 50.0, -0.1)],
)
def test_what_is_no_shaper_is_refused(kind: str, frequency: float, damping: float) -> None:
    with pytest.raises(ValueError, match=r"shaper|frequency|damping"):
        impulses(kind, frequency, damping)


def test_without_a_spread_there_is_no_ceiling() -> None:
    with pytest.raises(ValueError, match="above 0"):
        acceleration_ceiling(0.0)
