"""A regulator held against a model of its heater: margins, and settings after Skogestad's rules.

The model is first order plus dead time, G(s) = k e^(−θs) ÷ (τs + 1), with k in K for full power, τ and θ in
s. The regulator is parallel, C(s) = P + I/s + D s ÷ (1 + T_f s), and gives a share of full power, 0 to 1.
Nothing takes a derivative without delay, so D is smoothed over T_f = D ÷ 10 P (common practice: K. J. Åström,
T. Hägglund, PID Controllers, take a tenth, from memory).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise, takewhile
from math import atan2, degrees, exp, hypot, inf, isfinite, log
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

    @property
    def smoothing(self) -> float:
        """T_f in s, over which D is smoothed; 0 where there is no P to go by."""
        return self.d / (SMOOTHING * self.p) if self.p > 0 else 0.0

    def of(self, full_output: float) -> Gains:
        """These gains for a regulator whose full power is ``full_output``, as shares of full power."""
        return Gains(self.p / full_output, self.i / full_output, self.d / full_output)

    def as_times(self) -> Gains:
        """The parallel gains of an ideal regulator, P (1 + 1/(T_i s) + T_d s), I and D as T_i and T_d in s.

        One without a T_i has no I.
        """
        return Gains(self.p, self.p / self.i if self.i else 0.0, self.p * self.d)


class Margins(NamedTuple):
    """How far a loop is from swinging; inf where there is no end to it."""

    gain: float
    """The factor by which the gain may grow; below 1, of a loop that swings, the one that would calm it."""
    phase: float
    """Degrees by which the lag may grow."""
    swings: bool = False
    """Whether it does not come to rest."""


COMFORTABLE = Margins(2.0, 30.0)
"""From here on a loop is called comfortable: K. J. Åström, R. M. Murray, Feedback Systems, take gain margins
of 2 to 5 and phase margins of 30° to 60° (from memory)."""
DIVISORS = (1.5, 2, 2.5, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 60, 80, 100, 150, 200, 300, 500, 1000)


class Point(NamedTuple):
    """Of the open loop at one frequency: the logarithm of its magnitude, its phase in degrees, not folded."""

    level: float
    phase: float


SMOOTHING = 10.0
STEPS_A_DECADE = 300
LAG_AT_MOST = 1e4
"""In rad. Where the dead time alone lags so far, a loop that is still alive swings long since."""
DECADES = (-5.0, 2.5)
"""Of ω in 1/s: from a chamber's days to beyond what any heater follows."""


def margins(plant: Plant, gains: Gains) -> Margins:
    """Gain and phase margin of the open loop C(jω) G(jω), and whether the closed loop swings.

    Nyquist's criterion: the open loop has no unstable pole, so the closed one is stable if, beyond −1, the
    curve crosses the negative real axis as often upwards as downwards. Crossings are found between steps by
    straight lines over log ω. K. J. Åström, R. M. Murray, Feedback Systems (from memory). A loop that does
    nothing has no end to its margins.
    """
    if not (gains.p or gains.i or gains.d) or plant.gain <= 0:
        return Margins(inf, inf)
    return _margins_of([_open_loop(plant, gains, w) for w in _frequencies(plant.dead_time)])


class Calming(NamedTuple):
    """Gains divided by a number."""

    divisor: float
    margins: Margins
    """Of the loop then."""


def calming(plant: Plant, gains: Gains, wanted: Margins = COMFORTABLE) -> Calming | None:
    """The smallest round number by which P, I and D may be divided for a loop with the margins wanted.

    Where none reaches the phase margin, half of it is enough. More is not better: with a slower P more of the
    lag is I's. None where there is no such number, or where the gain is not what is too large.
    """
    if not (gains.p or gains.i or gains.d) or plant.gain <= 0:
        return None
    points = [_open_loop(plant, gains, w) for w in _frequencies(plant.dead_time)]
    now = _margins_of(points)
    if not now.swings and now.gain >= wanted.gain:
        return None
    divided = (Calming(divisor, _margins_of(_quieter(points, divisor))) for divisor in DIVISORS)
    calm = [one for one in divided if not one.margins.swings and one.margins.gain >= wanted.gain]
    for phase in (wanted.phase, wanted.phase / 2.0):
        for one in calm:
            if one.margins.phase >= phase:
                return one
    return None


def _quieter(points: Sequence[Point], divisor: float) -> Sequence[Point]:
    return [Point(level - log(divisor), phase) for level, phase in points]


def _margins_of(points: Sequence[Point]) -> Margins:
    rooms, around = [], 0
    for room, way in _half_turns(points):
        rooms.append(room)
        around += way if room < 0 else 0
    phases = sorted(_phases(points), key=abs)
    if around:
        return Margins(exp(min(rooms)), min(phases, default=0.0), swings=True)
    ahead = [room for room in rooms if room >= 0]
    return Margins(exp(min(ahead)) if ahead else inf, next(iter(phases), inf))


def _half_turns(points: Sequence[Point]) -> Iterator[tuple[float, int]]:
    """Where the phase passes an odd half turn: the logarithm of the factor that is left to 1, and the way:
    1 for a growing lag, −1 for a falling one."""
    for before, after in pairwise(points):
        for turn in _turns(before.phase, after.phase):
            share = (before.phase - turn) / (before.phase - after.phase)
            way = 1 if after.phase < before.phase else -1
            yield -(before.level + share * (after.level - before.level)), way


def _phases(points: Sequence[Point]) -> Iterator[float]:
    """Where the magnitude passes 1: how far the phase is from the next half turn, −180° to 180°."""
    for before, after in pairwise(points):
        if (before.level > 0) != (after.level > 0):
            share = before.level / (before.level - after.level)
            phase = before.phase + share * (after.phase - before.phase)
            yield phase % 360.0 - 180.0


def margins_text(found: Margins) -> str:
    """``a gain margin of 2.9 and a phase margin of 61°``."""
    gain = f"a gain margin of {found.gain:.3g}" if isfinite(found.gain) else "no end to its gain margin"
    phase = f"a phase margin of {found.phase:.0f}°" if isfinite(found.phase) else "no end to its phase margin"
    return f"{gain} and {phase}"


def _turns(before: float, after: float) -> Iterator[float]:
    """The odd half turns (180°, −180°, −540° …) that lie between two phases."""
    high, low = max(before, after), min(before, after)
    turn = 180.0 - 360.0 * -(-(180.0 - high) // 360.0)
    while turn > low:
        yield turn
        turn -= 360.0


def _frequencies(dead_time: float) -> Iterator[float]:
    """ω in 1/s; a dead time that lags by thousands of turns ends them."""
    first, last = DECADES
    count = int((last - first) * STEPS_A_DECADE)
    all_of_them = (10.0 ** (first + at / STEPS_A_DECADE) for at in range(count + 1))
    return takewhile(lambda w: w * dead_time < LAG_AT_MOST, all_of_them)


def _open_loop(plant: Plant, gains: Gains, w: float) -> Point:
    smooth = w * gains.smoothing
    share = gains.d * w / (1.0 + smooth * smooth)
    real, imaginary = gains.p + share * smooth, share - gains.i / w
    lag = w * plant.time_constant
    magnitude = hypot(real, imaginary) * plant.gain / hypot(1.0, lag)
    phase = degrees(atan2(imaginary, real) - atan2(lag, 1.0) - plant.dead_time * w)
    return Point(log(magnitude) if magnitude > 0 else -700.0, phase)


def skogestad(plant: Plant, closed_loop: float | None = None) -> Gains:
    """PI settings for a plant: K_c = τ ÷ (k(τ_c + θ)), τ_I = min(τ, 4(τ_c + θ)), with τ_c = θ unless given.

    S. Skogestad, J. Process Control 13 (2003) 291-309 (from memory). Raises ValueError unless gain, τ and
    τ_c + θ are above 0.
    """
    wanted = plant.dead_time if closed_loop is None else closed_loop
    slowest = wanted + plant.dead_time
    if not (plant.gain > 0 and plant.time_constant > 0 and slowest > 0):
        raise ValueError("the plant's gain and time constant, and the closed loop's time, must be above 0")
    gain = plant.time_constant / (plant.gain * slowest)
    return Gains(gain, gain / min(plant.time_constant, 4.0 * slowest))
