"""Margins against the library control, and Skogestad's rules against what he published of them.

control has no dead time of its own: a Padé approximation of order 20 stands for it. S. Skogestad, J. Process
Control 13 (2003) 291-309, from memory: K_c = τ ÷ (k(τ_c + θ)), τ_I = min(τ, 4(τ_c + θ)); with τ_c = θ a
first-order process with τ ≤ 8θ has a gain margin of 3.14 and a phase margin of 61.4°, an integrating one 2.96
and 46.9°.
"""

from __future__ import annotations

import warnings
from math import pi

import control
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.evidence.heating.regulator import (
    COMFORTABLE,
    Gains,
    Margins,
    Plant,
    calming,
    margins,
    skogestad,
)

PLANTS = [
    Plant(340.0, 280.0, 8.0), Plant(420.0, 160.0, 3.0), Plant(130.0, 900.0, 9.0), Plant(190.0, 1000.0, 26.0),
    Plant(55.0, 2400.0, 60.0), Plant(300.0, 40.0, 10.0),
]  # fmt: skip


def loop(plant: Plant, gains: Gains) -> control.TransferFunction:
    s = control.tf("s")
    delay = control.tf(*control.pade(plant.dead_time, 20))
    regulator = gains.p + gains.i / s + (gains.d * s / (1 + gains.smoothing * s) if gains.d else 0)
    return regulator * control.tf([plant.gain], [plant.time_constant, 1]) * delay


def in_control(plant: Plant, gains: Gains) -> tuple[float, float]:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        gain, phase, *_ = control.margin(loop(plant, gains))
    return float(gain), float(phase)


def tuned(plant: Plant, p: float, i: float, d: float) -> Gains:
    """Gains in shares of what makes the loop swing, and of its period, both roughly: π τ ÷ 2 k θ, and 4 θ."""
    most, period = pi * plant.time_constant / (2 * plant.gain * plant.dead_time), 4 * plant.dead_time
    return Gains(p * most, p * most / (i * period), p * most * d * period)


@pytest.mark.parametrize("plant", PLANTS)
@pytest.mark.parametrize("shares", [(0.6, 0.5, 0.125), (0.45, 0.83, 0.0), (0.2, 0.5, 0.33), (0.3, 1.0, 0.05)])
def test_margins_are_those_of_control(plant: Plant, shares: tuple[float, float, float]) -> None:
    gains = tuned(plant, *shares)
    ours = margins(plant, gains)
    assert (ours.gain, ours.phase) == pytest.approx(in_control(plant, gains), rel=2e-3)
    assert not ours.swings


@pytest.mark.parametrize("plant", PLANTS)
@pytest.mark.parametrize("factor", [0.5, 0.9, 1.1, 3.0, 50.0])
def test_a_loop_swings_where_its_poles_say_so(plant: Plant, factor: float) -> None:
    """Gains times the gain margin stand on the brink: only above it control finds a pole to the right."""
    gains = tuned(plant, 0.6, 0.5, 0.125)
    more = margins(plant, gains).gain * factor
    changed = Gains(gains.p * more, gains.i * more, gains.d * more)
    found = margins(plant, changed)
    assert found.swings is (factor > 1)
    assert found.gain == pytest.approx(1 / factor, rel=1e-2) or factor > 10
    if factor < 10:  # a Padé approximation of so wild a loop means nothing
        poles = control.feedback(loop(plant, changed), 1).poles()
        assert bool((poles.real > 1e-9).any()) is (factor > 1)


@pytest.mark.parametrize("plant", PLANTS)
def test_an_ideal_regulator_is_that_of_control(plant: Plant) -> None:
    """P (1 + 1/(T_i s) + T_d s), D smoothed over T_d/10, written down in control's own terms."""
    p = tuned(plant, 0.4, 1.0, 0.1).p
    whole, rate = 5 * plant.dead_time, 0.4 * plant.dead_time
    s = control.tf("s")
    delay = control.tf(*control.pade(plant.dead_time, 20))
    ideal = p * (1 + 1 / (whole * s) + rate * s / (1 + rate / 10 * s))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        gain, phase, *_ = control.margin(ideal * control.tf([plant.gain], [plant.time_constant, 1]) * delay)
    found = margins(plant, Gains(p, whole, rate).as_times())
    assert (found.gain, found.phase) == pytest.approx((gain, phase), rel=2e-3)


@pytest.mark.parametrize("plant", PLANTS)
@pytest.mark.parametrize("factor", [2.0, 7.0, 255.0])
def test_divided_gains_calm_the_loop(plant: Plant, factor: float) -> None:
    """By control the divided gains have the margins that a textbook wishes for, and much less than the number
    that was found would not do."""
    gains = tuned(plant, 0.6, 0.5, 0.125)
    loud = gains.of(1.0 / factor)
    found = calming(plant, loud)
    assert found is not None
    divisor = found.divisor
    assert (found.margins.gain, found.margins.phase) == pytest.approx(
        in_control(plant, loud.of(divisor)), rel=2e-3
    )
    gain, phase = in_control(plant, loud.of(divisor))
    assert gain >= 0.99 * COMFORTABLE.gain
    assert phase >= 0.99 * COMFORTABLE.phase / 2
    less = margins(plant, loud.of(divisor / 1.7))
    assert less.swings or less.gain < COMFORTABLE.gain or less.phase < COMFORTABLE.phase


@pytest.mark.parametrize("gains", [Gains(0.0), Gains(0.0005, 0.0)])
def test_gains_that_are_not_too_large_are_not_divided(gains: Gains) -> None:
    """None at all, and small ones."""
    assert calming(PLANTS[0], gains) is None


def test_skogestads_margins_of_a_first_order_process() -> None:
    found = margins(Plant(100.0, 50.0, 10.0), skogestad(Plant(100.0, 50.0, 10.0)))
    assert found.gain == pytest.approx(3.14, abs=0.005)
    assert found.phase == pytest.approx(61.4, abs=0.1)


def test_skogestads_margins_of_an_integrating_process() -> None:
    slow = Plant(1e6, 1e6, 10.0)
    found = margins(slow, skogestad(slow))
    assert found.gain == pytest.approx(2.96, abs=0.01)
    assert found.phase == pytest.approx(46.9, abs=0.1)


def test_skogestads_rules_by_hand() -> None:
    """k = 200, τ = 120, θ = τ_c = 5: K_c = 120 ÷ (200 × 10) = 0.06; τ_I = min(120, 40) = 40, I = 0.0015."""
    found = skogestad(Plant(200.0, 120.0, 5.0))
    assert found.p == pytest.approx(0.06)
    assert found.i == pytest.approx(0.0015)
    assert found.d == 0.0


def test_skogestads_rules_with_a_slower_loop_by_hand() -> None:
    """τ_c = 35: K_c = 120 ÷ (200 × 40) = 0.015; τ_I = min(120, 160) = 120, so I = 0.000125."""
    found = skogestad(Plant(200.0, 120.0, 5.0), closed_loop=35.0)
    assert (found.p, found.i) == pytest.approx((0.015, 0.000125))


@pytest.mark.parametrize("plant", [Plant(0, 1, 1), Plant(1, 0, 1), Plant(1, 1, 0)])
def test_skogestads_rules_need_a_plant(plant: Plant) -> None:
    with pytest.raises(ValueError, match="above 0"):
        skogestad(plant)


def test_a_pure_gain_has_no_end_to_its_margins() -> None:
    """A P below 1/k never meets 1, and its lag of a quarter turn at most never meets a half turn."""
    assert margins(Plant(100.0, 50.0, 0.0), Gains(0.005)) == Margins(np.inf, np.inf)
    assert margins(Plant(100.0, 50.0, 5.0), Gains(0.0)) == Margins(np.inf, np.inf)


POSITIVE = st.tuples(st.floats(10, 1000), st.floats(5, 5000), st.floats(0.1, 100))
WRITTEN = st.tuples(st.floats(0, 1000), st.floats(0, 100), st.floats(0, 1e4))


@settings(max_examples=40, deadline=None)
@given(POSITIVE, WRITTEN)
def test_any_plant_and_gains(plant: tuple[float, float, float], gains: tuple[float, float, float]) -> None:
    margins(Plant(*plant), Gains(*gains).as_times().of(255.0))
    found = margins(Plant(*plant), Gains(*gains).of(255.0))
    assert found.gain >= 0
    assert found.swings is (found.gain < 1)
