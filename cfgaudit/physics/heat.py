"""Heaters: electrical power in W, from volts and ohms (Joule's law)."""

from __future__ import annotations


def heater_power(volts: float, ohms: float, duty: float = 1.0) -> float:
    """Mean power in W of a resistance at a voltage: V² ÷ R × duty (24 V on 14.4 Ω is 40 W).

    ``duty`` is the share of the time that it is on, 0 to 1. Raises ValueError unless ``ohms`` is above 0.
    """
    if not ohms > 0:
        raise ValueError(f"the resistance must be above 0, not {ohms:g}")
    return volts**2 / ohms * duty
