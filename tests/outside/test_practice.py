"""What the trade takes for ordinary, and what no rule may therefore call implausible.

No source: common practice. Printers shape between about 20 and 120 Hz. Measured limits of 3500 to 3800 mm/s²
on the heavy axis, 6700 to 9300 mm/s² on the light one, both on MZV, are ordinary before and after a rebuild.
"""

from __future__ import annotations

from math import sqrt

import pytest

from cfgaudit.audit import audit_text
from cfgaudit.checks.run import raise_fault
from cfgaudit.physics.shapers import impulses
from cfgaudit.physics.shaping import acceleration_ceiling, spread

MZV_SPREAD = 0.08238
"""σ²f² of an undamped MZV shaper: the second central moment of .2929 .4142 .2929 at 0, 3/8 and 3/4 period."""

BUDGET = 0.10
"""How far a full reversal may be rounded, in mm: a quarter of a line of 0.4 mm; common practice."""

IMPLAUSIBLE = {
    "accel-implausible",
    "shaper-frequency-implausible",
    "damping-implausible",
    "shaper-kind-unknown",
    "accel-beyond-shaper",
}


def frequency_for(acceleration: float) -> float:
    """The frequency at which 2 δ ÷ σ² allows this acceleration."""
    return sqrt(acceleration * MZV_SPREAD / (2 * BUDGET))


def test_the_spread_is_that_of_the_impulses() -> None:
    impulses = [(0.29289, 0.0), (0.41421, 3 / 8), (0.29289, 3 / 4)]
    mean = sum(share * time for share, time in impulses)
    assert sum(share * (time - mean) ** 2 for share, time in impulses) == pytest.approx(MZV_SPREAD, abs=1e-5)


@pytest.mark.parametrize("heavy", [3500, 3650, 3800])
@pytest.mark.parametrize("light", [6700, 8000, 9300])
def test_ordinary_results_are_not_implausible(heavy: int, light: int) -> None:
    text = "".join(
        f"[axis {letter}]\nacceleration = {accel}\nshaper kind = MZV\n"
        f"shaper frequency = {frequency_for(accel):.1f} Hz\nshaper damping = 0.1\n"
        for letter, accel in (("x", light), ("y", heavy))
    )
    found = audit_text({"machine.ini": text}, on_fault=raise_fault).findings.findings
    assert [one for one in found if one.rule in IMPLAUSIBLE] == []


@pytest.mark.parametrize("acceleration", [3500, 3800, 6700, 9300])
def test_the_ceiling_gives_these_results_for_frequencies_that_printers_have(acceleration: int) -> None:
    frequency = frequency_for(acceleration)
    assert 20 < frequency < 120
    assert acceleration_ceiling(spread(impulses("MZV", frequency)), BUDGET) == pytest.approx(
        acceleration, rel=1e-4
    )


@pytest.mark.parametrize("acceleration", [3500, 3800, 6700, 9300])
def test_what_was_measured_is_kept_although_frequencies_are_written_with_one_decimal(
    acceleration: int,
) -> None:
    text = (
        f"[axis x]\nacceleration = {acceleration}\nshaper kind = MZV\n"
        f"shaper frequency = {frequency_for(acceleration):.1f} Hz\n"
    )
    found = audit_text({"machine.ini": text}, on_fault=raise_fault).findings.findings
    assert [one.message for one in found if one.rule in IMPLAUSIBLE] == []


@pytest.mark.parametrize("frequency", [20, 35.5, 60, 120])
def test_the_range_in_which_printers_ring_is_not_implausible(frequency: float) -> None:
    text = f"[input shaper x]\nfrequency = {frequency}\n[input shaper y]\nfrequency = {frequency}\n"
    found = audit_text({"machine.ini": text}, on_fault=raise_fault).findings.findings
    assert [one for one in found if one.rule in IMPLAUSIBLE] == []
