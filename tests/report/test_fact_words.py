"""Facts in words."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import cfgaudit.facts
from cfgaudit.audit import audit
from cfgaudit.data import data_folder
from cfgaudit.facts.fact import Amount
from cfgaudit.history.change import Consequence
from cfgaudit.report.fact_words import TOLD, amounts_text, clauses, load_words, words_for
from cfgaudit.working_tree import WorkingTree

FACTS = Path(cfgaudit.facts.__file__).parent


def told(fact: str, unit: str, before: Amount | None, after: Amount | None) -> list[str]:
    return [one.text for one in clauses([Consequence(fact, unit, before, after)])]


def test_every_table_is_of_a_quantity_that_is_computed() -> None:
    code = "".join(path.read_text(encoding="utf-8") for path in FACTS.glob("*.py"))
    named = set(re.findall(r'"(\w+)"', code)) | {"load_share"}
    assert set(load_words()) <= named


@pytest.mark.parametrize(("sample", "main"), [("heron/base", "heron.ini"), ("gannet", "gannet.conf")])
def test_every_quantity_of_the_samples_has_words(sample: str, main: str) -> None:
    done = audit(WorkingTree(data_folder("samples") / sample), main)
    quantities = {one.name.rpartition(".")[2] for one in done.facts.facts}
    assert quantities <= set(load_words())


@pytest.mark.parametrize("quantity", load_words())
def test_tables(quantity: str) -> None:
    words = load_words()[quantity]
    assert words.told in TOLD
    assert set(re.findall(r"\{.*?\}", words.changed)) == {"{after}", "{before}"}
    assert set(re.findall(r"\{.*?\}", words.came)) <= {"{after}"}
    assert set(re.findall(r"\{.*?\}", words.went)) <= {"{before}"}
    assert not words.changed.endswith(".")


def test_the_unit_is_said_once_and_digits_tell_apart() -> None:
    assert told("axis.x.shaper_rounding", "mm", 0.0977, 0.1407) == [
        "a reversal is now rounded by 0.14 mm, was 0.10"
    ]
    assert told("axis.x.steps_per_mm", "1/mm", 400.0, 800.0) == ["800 steps/mm, was 400"]
    assert told("axis.x.shaper_rounding", "mm", 0.1401, 0.1407) == [
        "a reversal is now rounded by 0.141 mm, was 0.140"
    ]


def test_a_quantity_without_a_table_is_told_by_its_name() -> None:
    assert told("spindle.left.bearing_load", "N", 4.0, 5.5) == ["bearing load 5.5 N, was 4.0"]


def test_what_differs_behind_four_digits_is_noise() -> None:
    assert told("axis.x.travel", "mm", 300.0, 300.00001) == []


def test_percent_and_other_units() -> None:
    """0.2087 is 21 %, 0.489 is 49 %; 56,100 J are 56 kJ."""
    (share,) = told("axis.x.step_rate_share", "1", 0.2087, 0.489)
    assert "49 % " in share
    assert share.endswith("was 21")
    (heat,) = told("heater.bed.heat_before_guard", "J", 56100.0, 84150.0)
    assert "84 kJ" in heat
    assert heat.endswith("was 56")


def test_points_are_told_by_their_corners() -> None:
    before = ((10.0, 20.0), (110.0, 20.0), (60.0, 220.0))
    after = ((15.0, 20.0), (115.0, 20.0), (65.0, 220.0))
    (one,) = told("level.lift.points", "mm", before, after)
    assert "(15, 20) to (115, 220) mm" in one
    assert one.endswith("(10, 20) to (110, 220)")
    (more,) = told("level.lift.points", "mm", before, (*before, (60.0, 100.0)))
    assert "(4 points)" in more
    assert "(3 points)" in more


def test_a_load_is_told_only_where_it_rises() -> None:
    assert told("supply.rack.load_share", "1", 0.4, 0.3) == []
    assert len(told("supply.rack.load_share", "1", 0.3, 0.4)) == 1


def test_what_says_little_is_told_only_alone() -> None:
    little = Consequence("axis.x.ramp_distance", "mm", 18.0, 13.8)
    much = Consequence("axis.x.shaper_rounding", "mm", 0.05, 0.07)
    assert [one.fact for one in clauses([little])] == ["axis.x.ramp_distance"]
    assert [one.fact for one in clauses([little, much])] == ["axis.x.shaper_rounding"]
    assert clauses([Consequence("axis.x.step_size", "mm", 0.1, 0.2)]) == []


AMOUNT = st.floats(1e-6, 1e6)


@given(AMOUNT, AMOUNT, st.sampled_from(sorted(load_words())))
def test_numbers_are_told_as_they_are(before: float, after: float, quantity: str) -> None:
    """Read back, the greater one is right to the digits that are promised, the other to as many decimals."""
    words = words_for(quantity)._replace(times=1.0)
    texts = amounts_text([after, before], "mm", words)
    greatest = max(before, after)
    unit = 10.0 ** -(words.digits - 1) * greatest
    for text, amount in zip(texts, (after, before), strict=True):
        number = text.removesuffix(" mm")
        assert re.fullmatch(r"\d+(\.\d+)?", number)
        assert abs(float(number) - amount) <= unit
