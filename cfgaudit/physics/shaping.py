"""What a shaper's impulses do to a vibration, and to a corner.

Frequencies in Hz, times in s, lengths in mm, accelerations in mm/s².
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from math import cos, exp, hypot, pi, sin, sqrt

from cfgaudit.physics.shapers import TOLERATED, Impulses

BUDGET = 0.10
"""How far a full reversal may be rounded, in mm: a quarter of a 0.4 mm line (common practice, no source)."""

SCAN = 0.01
"""The step, in shares of the frequency, in which the end of a band is looked for: humps are far wider."""
WIDEST = 4.0
"""Beyond this many times the frequency nothing is looked for: no frame is that stiff."""
ROUNDING_ERROR = 1e-9


def duration(shaper: Impulses) -> float:
    """The time in s by which a move gets longer: that of the last impulse."""
    return shaper[-1].time


def residual_vibration(shaper: Impulses, frequency: float, damping: float = 0.0) -> float:
    """The share, 0 to 1, of a vibration of ``frequency`` Hz that is left after the last impulse.

    e^(−ζω t_n) √(C² + S²) with C = Σ A e^(ζωt) cos ω_d t and S = Σ A e^(ζωt) sin ω_d t (Singer and Seering,
    J. Dynamic Systems, Measurement, and Control 112 (1990) 76-82, from memory).
    """
    pulse = 2.0 * pi * frequency
    ringing = pulse * sqrt(1.0 - damping**2)
    end = shaper[-1].time
    faded = [(one.share * exp(damping * pulse * (one.time - end)), ringing * one.time) for one in shaper]
    return hypot(sum(share * cos(turn) for share, turn in faded), sum(s * sin(turn) for s, turn in faded))


def spread(shaper: Impulses) -> float:
    """σ² in s²: the second central moment of the impulses in time."""
    middle = sum(one.share * one.time for one in shaper)
    return sum(one.share * (one.time - middle) ** 2 for one in shaper)


def rounding(acceleration: float, second_moment: float) -> float:
    """How far, in mm, a full reversal at ``acceleration`` mm/s² is rounded: a σ² ÷ 2.

    Shaping x(t) = ½at² gives Σ A ½a(t − t_i)², which at its turning point is ½aσ² away from where x turns.
    """
    return acceleration * second_moment / 2.0


def acceleration_ceiling(second_moment: float, budget: float = BUDGET) -> float:
    """The acceleration in mm/s² that rounds a full reversal by ``budget`` mm: 2δ ÷ σ².

    Raises ValueError unless σ² is above 0.
    """
    if not second_moment > 0:
        raise ValueError(f"the second moment must be above 0, not {second_moment:g}")
    return 2.0 * budget / second_moment


@lru_cache(maxsize=256)
def tolerated_band(
    shaper: Impulses, frequency: float, damping: float = 0.0, tolerated: float = TOLERATED
) -> tuple[float, float] | None:
    """The frequencies in Hz around ``frequency`` between which at most ``tolerated`` of a vibration is left.

    None where even at that frequency more is left, and where no upper end is in sight.
    """
    limit = tolerated * (1.0 + ROUNDING_ERROR)

    def keeps(share: float) -> bool:
        return residual_vibration(shaper, share * frequency, damping) <= limit

    if not keeps(1.0):
        return None
    low, high = 1.0, 1.0
    while low > SCAN and keeps(low - SCAN):
        low -= SCAN
    while high < WIDEST and keeps(high + SCAN):
        high += SCAN
    if high >= WIDEST:
        return None
    ends = (_edge(low, low - SCAN, keeps), _edge(high, high + SCAN, keeps))
    return ends[0] * frequency, ends[1] * frequency


def _edge(inside: float, outside: float, keeps: Callable[[float], bool]) -> float:
    """Where between the two ``keeps`` turns false, by halving: the last place inside."""
    while abs(inside - outside) > ROUNDING_ERROR:
        middle = (inside + outside) / 2.0
        inside, outside = (middle, outside) if keeps(middle) else (inside, middle)
    return inside
