"""Input shapers against what is published of them.

ZV and ZVD: N. C. Singer, W. P. Seering, J. Dynamic Systems, Measurement, and Control 112 (1990) 76-82. EI:
W. Singhose, W. Seering, N. Singer, J. Mechanical Design 116 (1994) 654-659. Humps and insensitivities:
J. Vaughan, A. Yano, W. Singhose, J. Sound and Vibration 315 (2008) 797-815. All from memory. MZV, three
impulses over three quarters of a period: common practice, no source.
"""

from __future__ import annotations

from math import exp, pi, sqrt

import pytest

from cfgaudit.physics.shapers import impulses
from cfgaudit.physics.shaping import (
    acceleration_ceiling,
    duration,
    residual_vibration,
    rounding,
    spread,
    tolerated_band,
)

UNDAMPED = {
    "ZV": ((0.5, 0.5), 0.0, 0.0637, 0.06250),
    "MZV": ((0.2929, 0.4142, 0.2929), 0.0, 0.1035, 0.08238),
    "ZVD": ((0.25, 0.5, 0.25), 0.0, 0.2871, 0.12500),
    "EI": ((0.2625, 0.475, 0.2625), 0.05, 0.3994, 0.13125),
    "two-hump EI": ((0.1598, 0.3402, 0.3402, 0.1598), 0.0, 0.7245, 0.22230),
    "three-hump EI": ((0.1124, 0.2375, 0.3002, 0.2375, 0.1124), 0.05, 0.9639, 0.34351),
}
"""For 1 Hz: amplitudes, vibration left at that frequency, width of the band of 5 %, σ²f²."""

PUBLISHED = {"ZV": 0.06, "ZVD": 0.29, "EI": 0.40, "two-hump EI": 0.73, "three-hump EI": 0.955}
"""The insensitivities that the papers print, to one hundredth."""

LASTS = {"ZV": 0.5, "MZV": 0.75, "ZVD": 1.0, "EI": 1.0, "two-hump EI": 1.5, "three-hump EI": 2.0}
"""The last impulse, in periods."""


@pytest.mark.parametrize("kind", UNDAMPED)
def test_an_undamped_shaper_is_the_published_one(kind: str) -> None:
    shares, left, width, moment = UNDAMPED[kind]
    shaper = impulses(kind, 1.0)
    assert [one.share for one in shaper] == pytest.approx(shares, abs=5e-5)
    assert residual_vibration(shaper, 1.0) == pytest.approx(left, abs=1e-12)
    band = tolerated_band(shaper, 1.0)
    assert band is not None
    assert band[1] - band[0] == pytest.approx(width, abs=1e-4)
    assert spread(shaper) == pytest.approx(moment, abs=5e-6)
    assert duration(shaper) == pytest.approx(LASTS[kind])


@pytest.mark.parametrize("kind", PUBLISHED)
def test_the_insensitivity_is_the_printed_one(kind: str) -> None:
    band = tolerated_band(impulses(kind, 50.0), 50.0)
    assert band is not None
    assert (band[1] - band[0]) / 50.0 == pytest.approx(PUBLISHED[kind], abs=0.01)


@pytest.mark.parametrize(
    ("kind", "shares", "times", "moment"),
    [
        ("ZV", (0.57829, 0.42171), (0, 10.0504), 24.633),
        ("MZV", (0.36513, 0.40749, 0.22738), (0, 7.5378, 15.0756), 32.587),
    ],
)
def test_damping_at_50_hz(
    kind: str, shares: tuple[float, ...], times: tuple[float, ...], moment: float
) -> None:
    """ζ = 0.1, worked by hand from the formulas; times in ms, σ² in ms²."""
    shaper = impulses(kind, 50.0, 0.1)
    assert [one.share for one in shaper] == pytest.approx(shares, abs=5e-6)
    assert [one.time * 1e3 for one in shaper] == pytest.approx(times, abs=5e-5)
    assert spread(shaper) * 1e6 == pytest.approx(moment, abs=5e-4)


@pytest.mark.parametrize(("kind", "moment", "ceiling"), [("MZV", 32.587, 6137), ("ZVD", 49.267, 4060)])
def test_the_ceiling_that_a_tenth_of_a_millimetre_allows(kind: str, moment: float, ceiling: float) -> None:
    shaper = impulses(kind, 50.0, 0.1)
    assert spread(shaper) * 1e6 == pytest.approx(moment, abs=5e-4)
    assert acceleration_ceiling(spread(shaper), 0.10) == pytest.approx(ceiling, abs=0.5)
    assert rounding(ceiling, spread(shaper)) == pytest.approx(0.10, abs=5e-5)


@pytest.mark.parametrize("kind", ["ZV", "MZV", "ZVD"])
@pytest.mark.parametrize("damping", [0.0, 0.05, 0.1, 0.3])
def test_nothing_is_left_at_the_shapers_own_frequency(kind: str, damping: float) -> None:
    shaper = impulses(kind, 50.0, damping)
    assert residual_vibration(shaper, 50.0, damping) == pytest.approx(0.0, abs=1e-12)


def test_the_damped_second_impulse_is_what_half_a_period_leaves() -> None:
    """K = exp(−ζπ ÷ √(1−ζ²)), Singer and Seering 1990."""
    first, second = impulses("ZV", 37.0, 0.2)
    assert second.share / first.share == pytest.approx(exp(-0.2 * pi / sqrt(1 - 0.04)))


@pytest.mark.parametrize(
    ("kind", "frequency", "acceleration", "rounded", "ceiling"), [("MZV", 48.0, 6700.0, 0.120, 5590.0)]
)
def test_a_worked_case(
    kind: str, frequency: float, acceleration: float, rounded: float, ceiling: float
) -> None:
    """σ² = 0.08238 ÷ 48² s² = 35.76 ms², by hand."""
    moment = spread(impulses(kind, frequency))
    assert rounding(acceleration, moment) == pytest.approx(rounded, abs=5e-4)
    assert acceleration_ceiling(moment) == pytest.approx(ceiling, abs=5)
