"""What changes come to in numbers, against sums by hand and the published shaper."""

from __future__ import annotations

from math import exp, pi, sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.audit import Audit, audit_text
from cfgaudit.facts.fact import Fact, Facts
from cfgaudit.history.change import Change, Consequence
from cfgaudit.history.comparing.compare import compare_machines
from cfgaudit.history.comparing.consequences import moved_facts, with_consequences
from history.machines import STORK, TEAL, Files, edited, only

SHAPED = edited(STORK, ("[motor x]", "[shaper x]\nkind = ZV\nfrequency = 50 Hz\ndamping = 0.1\n[motor x]"))
SHAPED_ACCEL = "top acceleration = 2000 mm/s²\n[shaper"
Moves = dict[str, tuple[object, object]]


def compared(before: Files, after: Files) -> tuple[tuple[Change, ...], Audit, Audit]:
    old, new = audit_text(before), audit_text(after)
    changes = compare_machines(old.subject, new.subject)
    return with_consequences(changes, old, new), old, new


def moves(change: Change) -> Moves:
    """The facts that a change moves, before and after."""
    return {one.fact: (one.before, one.after) for one in change.consequences}


def test_twice_the_microsteps_are_twice_the_steps() -> None:
    """400 full steps × 16 ÷ 40 mm = 160 per mm, and a step 1 ÷ 160 mm; at 32 microsteps 320."""
    changes, *_ = compared(STORK, edited(STORK, ("microsteps = 16", "microsteps = 32")))
    moved = moves(only(changes))
    assert moved["axis.x.steps_per_mm"] == pytest.approx((160, 320))
    assert moved["axis.x.step_size"] == pytest.approx((1 / 160, 1 / 320))
    assert "axis.x.travel" not in moved


def zv_rounding(acceleration: float, frequency: float, damping: float) -> float:
    """a σ² ÷ 2 for the two impulses of Singer and Seering (1990): 1 ÷ (1 + K) at 0, K ÷ (1 + K) at half a
    damped period, K = exp(−ζπ ÷ √(1 − ζ²))."""
    root = sqrt(1 - damping**2)
    ratio = exp(-damping * pi / root)
    late = ratio / (1 + ratio)
    at = 1 / (2 * frequency * root)
    return acceleration * late * (1 - late) * at**2 / 2


def test_less_acceleration_rounds_a_reversal_less() -> None:
    changes, *_ = compared(SHAPED, edited(SHAPED, (SHAPED_ACCEL, SHAPED_ACCEL.replace("2000", "1500"))))
    moved = moves(only(changes))
    expected = zv_rounding(2000, 50, 0.1), zv_rounding(1500, 50, 0.1)
    assert moved["axis.x.shaper_rounding"] == pytest.approx(expected)
    assert "axis.x.shaper_accel_ceiling" not in moved, "it bounds the acceleration and does not come from it"


def test_a_fact_that_comes_and_one_that_goes() -> None:
    changes, *_ = compared(STORK, SHAPED)
    came = moves(only(changes))["axis.x.shaper_rounding"]
    assert came == (None, pytest.approx(zv_rounding(2000, 50, 0.1)))
    changes, *_ = compared(SHAPED, STORK)
    assert moves(only(changes))["axis.x.shaper_rounding"] == (came[1], None)


def test_several_changes_move_one_fact_together() -> None:
    """400 × 32 ÷ 20 = 640, four times as many."""
    after = edited(STORK, ("microsteps = 16", "microsteps = 32"), ("per turn = 40 mm", "per turn = 20 mm"))
    changes, *_ = compared(STORK, after)
    assert len(changes) == 2
    for one in changes:
        assert moves(one)["axis.x.steps_per_mm"] == pytest.approx((160, 640))


def test_a_renamed_part_keeps_its_facts() -> None:
    """Its travel does not go and come again; what was changed in it moves it under its new name."""
    before = edited(STORK, ("highest = 110 °C", "highest = 110 °C\nrating = 400 W"))
    after = edited(before, ("[heater bed]", "[heater plate]"), ("rating = 400 W", "rating = 500 W"))
    changes, *_ = compared(before, after)
    told = {one.address: moves(one) for one in changes}
    assert told["heater plate:rating"]["heater.plate.watts"] == (400, 500)
    assert not any(".bed." in fact for moved in told.values() for fact in moved)
    assert told["heater plate"] == {}


def test_what_has_no_effect_moves_nothing() -> None:
    shadowing = {**STORK, "stork.ini": STORK["stork.ini"] + "[motor x]\nmicrosteps = 8\n"}
    after = edited(shadowing, ("microsteps = 16", "microsteps = 64"))
    changes, *_ = compared(shadowing, after)
    one = only(changes)
    assert (one.effective, one.consequences) == (False, ())


def test_noise_of_floats_is_no_difference() -> None:
    one, other = Fact("axis.x.travel", 0.1 + 0.2, "mm", ()), Fact("axis.x.travel", 0.3, "mm", ())
    assert one.value != other.value
    assert list(moved_facts(Facts((one,)), Facts((other,)), {})) == []
    points = (
        Fact("mesh.m.points", ((1.0, 0.1 + 0.2),), "mm", ()),
        Fact("mesh.m.points", ((1.0, 0.3),), "mm", ()),
    )
    assert list(moved_facts(Facts((points[0],)), Facts((points[1],)), {})) == []


def test_parts_that_share_a_name_are_told_apart_by_their_turn() -> None:
    old = [Fact("heater.bed.watts", value, "W", ()) for value in (100.0, 200.0)]
    new = [Fact("heater.bed.watts", value, "W", ()) for value in (100.0, 250.0)]
    moved = list(moved_facts(Facts(tuple(old)), Facts(tuple(new)), {}))
    assert [one.consequence for one in moved] == [Consequence("heater.bed.watts", "W", 200.0, 250.0)]


NUMBERS = {
    "minTravel: 0": "minTravel: {}",
    "maxTravel: 200": "maxTravel: {}",
    "stepsPerRev: 200": "stepsPerRev: {}",
    "mmPerRev: 32": "mmPerRev: {}",
    "accelLimit: 1500": "accelLimit: {}",
    "tempCeiling: 105": "tempCeiling: {}",
    "dutyCeiling: 1.0": "dutyCeiling: {}",
    "pullupOhms: 4700": "pullupOhms: {}",
}


@settings(max_examples=25, deadline=None)
@given(st.dictionaries(st.sampled_from(sorted(NUMBERS)), st.integers(1, 400), min_size=1, max_size=4))
def test_every_fact_that_differs_hangs_on_some_change(edits: dict[str, int]) -> None:
    """And no other does: facts are compared here name by name."""
    after = edited(TEAL, *((old, NUMBERS[old].format(new)) for old, new in edits.items()))
    changes, old, new = compared(TEAL, after)
    told = {one.fact for change in changes for one in change.consequences}
    left = {one.name: one.value for one in old.facts.facts}
    right = {one.name: one.value for one in new.facts.facts}
    differing = {name for name in left.keys() | right.keys() if left.get(name) != right.get(name)}
    assert told == differing
