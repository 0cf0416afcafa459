"""Facts of axes, from settings in every form that the trade writes."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from machine.readings import machine_of

from cfgaudit.facts.compute import compute_facts
from cfgaudit.facts.fact import Facts

BELT_AXIS = """
[axis x]
low = 0
high = 310 mm
homing = 40
[motor x]
whole = 200
parts = 16
round = 40 mm
[motion]
fast = 300 mm/s
push = 3000
"""


def facts_of(text: str) -> Facts:
    return compute_facts(machine_of(text))


def value_of(text: str, name: str) -> object:
    fact = facts_of(text).get(name)
    return fact.value if fact is not None else None


def test_an_axis_section_and_its_motor_section_make_the_facts_together() -> None:
    facts = facts_of(BELT_AXIS)
    found = {one.name: (one.value, one.unit) for one in facts.matching("axis.x.*")}
    assert found == {
        "axis.x.steps_per_mm": (80.0, "1/mm"),
        "axis.x.step_size": (0.0125, "mm"),
        "axis.x.step_rate": (24_000.0, "1/s"),
        "axis.x.travel": (310.0, "mm"),
        "axis.x.ramp_distance": (30.0, "mm"),
        "axis.x.reachable_speed": (pytest.approx((3000 * 310) ** 0.5), "mm/s"),
        "axis.x.home_stop_distance": (pytest.approx(40**2 / 6000), "mm"),
    }


def test_a_fact_names_the_settings_that_it_came_from() -> None:
    rate = facts_of(BELT_AXIS).get("axis.x.step_rate")
    assert rate is not None
    assert {meaning.setting.name for meaning in rate.origin} == {"fast", "whole", "parts", "round"}


@pytest.mark.parametrize(
    ("written", "steps"),
    [("whole = 1.8 deg", 80), ("whole = 0.9", 160), ("whole = 1.8°", 80), ("whole = 400", 160)],
)
def test_full_steps_may_be_an_angle(written: str, steps: float) -> None:
    text = BELT_AXIS.replace("whole = 200", written)
    assert value_of(text, "axis.x.steps_per_mm") == pytest.approx(steps)


@pytest.mark.parametrize(("written", "steps"), [("1/16", 80), ("1:32", 160), ("64", 320), ("0.0625", 80)])
def test_microsteps_may_be_the_share_of_a_step(written: str, steps: float) -> None:
    text = BELT_AXIS.replace("parts = 16", f"parts = {written}")
    assert value_of(text, "axis.x.steps_per_mm") == pytest.approx(steps)


@pytest.mark.parametrize(
    ("written", "times"),
    [
        ("80:20", 4),
        ("80, 20", 4),
        ("3", 3),
        ("60:16", 3.75),
        ("80:20, 3:1", 12),
        ("\n  80:20\n  57:11", 4 * 57 / 11),
    ],
)
def test_gears_may_be_fractions_pairs_stages_or_a_number(written: str, times: float) -> None:
    text = BELT_AXIS.replace("parts = 16", f"parts = 16\ncogs = {written}")
    assert value_of(text, "axis.x.steps_per_mm") == pytest.approx(80 * times)


@pytest.mark.parametrize("line", ["whole = 200", "parts = 16", "round = 40 mm"])
def test_without_an_input_there_is_no_fact(line: str) -> None:
    facts = facts_of(BELT_AXIS.replace(line, ""))
    assert facts.get("axis.x.steps_per_mm") is None
    assert facts.get("axis.x.step_size") is None
    assert facts.get("axis.x.step_rate") is None
    assert facts.get("axis.x.travel") is not None


@pytest.mark.parametrize(
    "bad", ["round = 0", "round = -4", "round = wide", "parts = 0", "cogs = 3:0", "cogs = a"]
)
def test_absurd_inputs_are_no_fact_and_no_error(bad: str) -> None:
    name = bad.split(" = ")[0]
    lines = [line for line in BELT_AXIS.splitlines() if not line.startswith(f"{name} ")]
    text = "\n".join(lines).replace("[motion]", f"{bad}\n[motion]")
    assert value_of(text, "axis.x.steps_per_mm") is None


def test_a_motor_that_names_its_axis_belongs_to_it() -> None:
    text = "[axis z]\nlow = 0\nhigh = 9\n[motor lift]\nmoves = z\nwhole = 200\nparts = 16\nround = 8\n"
    assert value_of(text, "axis.z.steps_per_mm") == pytest.approx(400)


def test_a_driver_of_a_motor_of_an_axis_belongs_to_it() -> None:
    axis_and_motor = "[axis z]\nturns = lift\n[motor lift]\nwhole = 200\nround = 8\n"
    text = axis_and_motor + "[driver one]\nturns = lift\nparts = 16\n"
    assert value_of(text, "axis.z.steps_per_mm") == pytest.approx(400)


def test_an_axis_own_speed_counts_before_that_of_the_machine() -> None:
    text = BELT_AXIS.replace("homing = 40", "homing = 40\nfast = 30")
    assert value_of(text, "axis.x.step_rate") == pytest.approx(2400)


def test_swapped_limits_show_as_travel_below_zero() -> None:
    assert value_of("[axis y]\nlow = 200\nhigh = 0\n", "axis.y.travel") == pytest.approx(-200)


@settings(max_examples=40)
@given(
    whole=st.sampled_from([200, 400]),
    micro=st.sampled_from([1, 2, 4, 8, 16, 32, 64]),
    travel=st.integers(1, 80),
)
def test_twice_the_microsteps_halve_the_step_size(whole: int, micro: int, travel: int) -> None:
    def size(parts: int) -> float:
        text = f"[motor x]\nwhole = {whole}\nparts = {parts}\nround = {travel}\n"
        value = value_of(text, "axis.x.step_size")
        assert isinstance(value, float)
        return value

    assert size(2 * micro) == pytest.approx(size(micro) / 2)
