"""Motion of an axis: steps, speeds and distances. Lengths in mm, times in s, angles in degrees.

Kinematics of steady acceleration are plain mechanics; the step arithmetic is common practice, no source.
"""

from __future__ import annotations

from math import sqrt

DEGREES_A_TURN = 360.0


def full_steps_from_angle(step_angle: float) -> float:
    """Full steps per turn of a motor whose step turns it by ``step_angle`` degrees (1.8 gives 200).

    Raises ValueError unless the angle is above 0.
    """
    _require_positive(step_angle, "step angle")
    return DEGREES_A_TURN / step_angle


def steps_per_mm(
    *, full_steps: float, microsteps: float, travel_per_turn: float, gear_ratio: float = 1.0
) -> float:
    """Steps that move an axis by one millimetre, 1/mm: full steps × microsteps × gear ÷ travel a turn.

    ``full_steps`` per turn of the motor; ``microsteps`` per full step; ``gear_ratio`` turns of the motor for
    one turn of the screw or pulley; ``travel_per_turn`` mm for one turn of that. Raises ValueError unless
    the travel is above 0.
    """
    _require_positive(travel_per_turn, "travel per turn")
    return full_steps * microsteps * gear_ratio / travel_per_turn


def step_size(steps: float) -> float:
    """Travel of one (micro)step in mm, from steps per mm. Raises ValueError unless they are above 0."""
    _require_positive(steps, "steps per mm")
    return 1.0 / steps


def step_rate(speed: float, steps: float) -> float:
    """Steps per second, 1/s, at ``speed`` mm/s and ``steps`` per mm."""
    return abs(speed) * steps


def ramp_distance(speed: float, acceleration: float) -> float:
    """Distance in mm in which an axis reaches ``speed`` mm/s and stops again: v² ÷ a.

    From rest to v takes v² ÷ 2a, and the same again to rest. Raises ValueError unless ``acceleration``
    (mm/s²) is above 0.
    """
    _require_positive(acceleration, "acceleration")
    return speed**2 / acceleration


def stop_distance(speed: float, acceleration: float) -> float:
    """Distance in mm in which an axis stops from ``speed`` mm/s: v² ÷ 2a.

    Raises ValueError unless ``acceleration`` (mm/s²) is above 0.
    """
    return ramp_distance(speed, acceleration) / 2.0


def reachable_speed(distance: float, acceleration: float) -> float:
    """The speed in mm/s that an axis reaches on ``distance`` mm if it also stops there: √(a s).

    From v² ÷ 2a to reach it and the same again to stop. Raises ValueError unless both are above 0.
    """
    _require_positive(distance, "distance")
    _require_positive(acceleration, "acceleration")
    return sqrt(acceleration * distance)


def diagonal_belt_speed(speed: float) -> float:
    """How fast, in mm/s, one belt of two crossed ones runs in a diagonal move of ``speed`` mm/s: √2 v.

    With crossed belts (CoreXY) a motor's belt runs at the sum of the speeds along both axes, each of which is
    v ÷ √2 in a diagonal move; the other motor stands still then.
    """
    return sqrt(2.0) * speed


def _require_positive(amount: float, name: str) -> None:
    if not amount > 0:
        raise ValueError(f"the {name} must be above 0, not {amount:g}")
