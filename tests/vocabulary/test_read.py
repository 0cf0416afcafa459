"""Whole trees to their readings: what holds whatever the words are, and what sections say to one another.

What the words mean is plain English and the trade's; no source. Units convert as the SI brochure says.
"""

from __future__ import annotations

import os
import subprocess
import sys

import pytest

from cfgaudit.syntax.value import Dimension, Number
from vocabulary.reading_text import reading_of


@pytest.mark.parametrize(
    ("section", "line", "amount", "dimension"),
    [
        ("driver x", "run current mA = 800", 0.8, Dimension.CURRENT),
        ("driver x", "run_current_ma = 800", 0.8, Dimension.CURRENT),
        ("axis x", "top_speed_mm_per_min = 6000", 100.0, Dimension.SPEED),
        ("axis x", "top speed (mm/min) = 6000", 100.0, Dimension.SPEED),
        ("axis x", "top speed mm/s = 100", 100.0, Dimension.SPEED),
        ("fan part", "pwm_freq_khz = 25", 25_000.0, Dimension.FREQUENCY),
        ("servo arm", "shortest_pulse_us = 600", 0.0006, Dimension.TIME),
        ("heater bed", "power limit % = 80", 0.8, Dimension.RATIO),
        ("heater bed", "maxTempC = 110", 110.0, Dimension.TEMPERATURE),
        ("filament watch", "settle_ms = 50", 0.05, Dimension.TIME),
    ],
)
def test_a_bare_number_has_the_unit_at_the_end_of_its_name(
    section: str, line: str, amount: float, dimension: Dimension
) -> None:
    value = reading_of(section, line).value
    assert isinstance(value, Number)
    assert value.amount == pytest.approx(amount)
    assert value.dimension is dimension


def test_a_unit_beside_the_number_wins_over_the_names() -> None:
    assert reading_of("driver x", "run current mA = 0.8 A").value == Number(
        0.8, "A", Dimension.CURRENT, "0.8 A"
    )


def test_a_unit_that_the_role_cannot_have_says_nothing_of_the_number() -> None:
    value = reading_of("heater bed", "max degrees = 110").value
    assert value == Number(110.0, "", Dimension.NONE, "110")


def test_both_ends_of_a_range_have_the_unit_of_the_name() -> None:
    reading = reading_of("heater bed", "temp range c = 5 .. 110")
    assert (reading.role, [sense.role for sense in reading.senses]) == ("temp.max", ["temp.min"])
    assert [one.dimension for one in (reading.value, reading.senses[0].value)] == [Dimension.TEMPERATURE] * 2


SEVERAL_WAYS = """
[guard bed]
guard max time = 20 s
[height map]
max corner height map = 290, 290
min corner height map = 10, 10
"""
SHOW = f"""
from vocabulary.reading_text import read_text
for section in read_text({SEVERAL_WAYS!r}).sections:
    for one in section.readings:
        print(one.role, one.axis, one.fits, one.why)
"""


def test_a_reading_and_its_reason_are_the_same_every_time() -> None:
    """Python gives sets of texts another order in every run, unless a seed is fixed."""
    shown = {
        subprocess.run(
            [sys.executable, "-c", SHOW],
            env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": os.pathsep.join(sys.path)},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in "123456"
    }
    assert len(shown) == 1
    assert "guard.time" in shown.pop()
