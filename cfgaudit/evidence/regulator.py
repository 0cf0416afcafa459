"""A regulator held against a model of its heater: margins, and settings after Skogestad's rules.

The model is first order plus dead time, G(s) = k e^(−θs) ÷ (τs + 1), with k in K for full power, τ and θ in s.
The regulator is parallel, C(s) = P + I/s + D s, and gives a share of full power, 0 to 1.
"""

from __future__ import annotations

from math import atan2, degrees, hypot, inf, isfinite
from typing import NamedTuple


class Plant(NamedTuple):
    """First order plus dead time."""

    gain: float
    """K for full power, at rest."""
    time_constant: float
    """s"""
    dead_time: float
    """s"""


class Gains(NamedTuple):
    """Of a parallel regulator: 1/K, 1/(K s), s/K."""

    p: float
    i: float = 0.0
    d: float = 0.0


class Margins(NamedTuple):
    """How far a loop is from swinging: ``gain`` as a factor, ``phase`` in degrees; inf where nothing crosses."""

    gain: float
    phase: float


STEPS_A_DECADE = 400
DECADES = (-6.0, 3.0)


def margins(plant: Plant, gains: Gains) -> Margins:
    """Gain and phase margin of the open loop C(jω) G(jω), the smallest where it crosses several times.

    The phase is followed along ω from where the loop begins; crossings are found between steps by straight lines
    over log ω. K. J. Åström, R. M. Murray, Feedback Systems, on stability margins (from memory).
    """
    points = [_open_loop(plant, gains, w) for w in _frequencies()]
    gain, phase = inf, inf
    for (before, lag_before), (after, lag_after) in zip(points, points[1:], strict=False):
        for turn in _turns(lag_before, lag_after):
            share = (lag_before - turn) / (lag_before - lag_after)
            gain = min(gain, _above_one(before ** (1 - share) * after**share))
        if (before - 1.0) * (after - 1.0) < 0:
            share = (before - 1.0) / (before - after)
            lag = lag_before + share * (lag_after - lag_before)
            phase = min(phase, 180.0 + lag, key=abs)
    return Margins(gain, phase)


def _above_one(magnitude: float) -> float:
    return 1.0 / magnitude if magnitude > 0 else inf


def _turns(before: float, after: float) -> list[float]:
    """The odd half turns (−180°, −540° …) that lie between two lags."""
    high, low = max(before, after), min(before, after)
    turn = -180.0
    found = []
    while turn > low:
        if low < turn <= high:
            found.append(turn)
        turn -= 360.0
    return found


def _frequencies() -> list[float]:
    first, last = DECADES
    count = int((last - first) * STEPS_A_DECADE)
    return [10.0 ** (first + at / STEPS_A_DECADE) for at in range(count + 1)]


def _open_loop(plant: Plant, gains: Gains, w: float) -> tuple[float, float]:
    """Magnitude, and phase in degrees, not folded: each factor adds its own."""
    imaginary = gains.d * w - gains.i / w
    lag = -w * plant.time_constant
    magnitude = hypot(gains.p, imaginary) * plant.gain / hypot(1.0, lag)
    turned = degrees(atan2(imaginary, gains.p) + atan2(lag, 1.0)) - degrees(plant.dead_time * w)
    return magnitude, turned


def skogestad(plant: Plant, closed_loop: float | None = None) -> Gains:
    """PI settings for a plant: K_c = τ ÷ (k(τ_c + θ)), τ_I = min(τ, 4(τ_c + θ)), with τ_c = θ unless given.

    S. Skogestad, J. Process Control 13 (2003) 291-309. Raises ValueError unless gain, τ and θ + τ_c are above 0.
    """
    wanted = plant.dead_time if closed_loop is None else closed_loop
    slowest = wanted + plant.dead_time
    if not (plant.gain > 0 and plant.time_constant > 0 and slowest > 0):
        raise ValueError("the plant's gain and time constant, and the closed loop's time, must be above 0")
    gain = plant.time_constant / (plant.gain * slowest)
    return Gains(gain, gain / min(plant.time_constant, 4.0 * slowest))


def swings(found: Margins) -> bool:
    """Whether a loop with these margins would not come to rest."""
    return found.gain <= 1.0 or (isfinite(found.phase) and found.phase <= 0.0)
