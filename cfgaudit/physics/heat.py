"""Electrical heat: power in W, energy in J, from volts, amperes, ohms and seconds (Joule's law)."""

from __future__ import annotations

PHASES = 2
"""Windings of the stepper motors of the trade."""


def heater_power(volts: float, ohms: float, duty: float = 1.0) -> float:
    """Mean power in W of a resistance at a voltage: V² ÷ R × duty (24 V on 14.4 Ω is 40 W).

    ``duty`` is the share of the time that it is on, 0 to 1. Raises ValueError unless ``ohms`` is above 0.
    """
    _require_positive(ohms, "resistance")
    return volts**2 / ohms * duty


def winding_power(current: float, ohms: float) -> float:
    """Power in W that both windings of a stepper motor turn into heat: 2 I² R.

    ``current`` is the RMS current of one winding in A, ``ohms`` the resistance of one winding. The motor
    takes this from its supply even while it only holds; what it moves comes on top.
    """
    return PHASES * current**2 * ohms


def energy(power: float, seconds: float) -> float:
    """Energy in J that a power in W gives in a time: P t."""
    return power * seconds


def free_rise(heat: float, capacity: float) -> float:
    """How much hotter in K a body gets by an energy in J if it loses none: Q ÷ C.

    ``capacity`` is its heat capacity in J/K. Raises ValueError unless that is above 0.
    """
    _require_positive(capacity, "heat capacity")
    return heat / capacity


def _require_positive(amount: float, name: str) -> None:
    if not amount > 0:
        raise ValueError(f"the {name} must be above 0, not {amount:g}")
