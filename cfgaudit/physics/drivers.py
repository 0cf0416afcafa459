"""Chips that drive stepper motors: the current that a sense resistor allows. Volts, ohms, amperes."""

from __future__ import annotations

from math import sqrt


def rms_ceiling(full_scale_volts: float, sense_ohms: float, extra_ohms: float = 0.0) -> float:
    """The highest current of a phase in A RMS: V_FS ÷ (R_S + R_X) ÷ √2.

    The chip's current scale, (CS + 1) ÷ 32, is 1 at its highest. ``full_scale_volts`` is the voltage over the
    resistor at full scale, ``extra_ohms`` what the chip and its solder add to the resistor. Source: Trinamic,
    data sheets TMC2209 (20 mΩ are added) and TMC5160 (nothing is added; from memory). Raises ValueError
    unless the resistance is above 0.
    """
    if not sense_ohms > 0 or extra_ohms < 0:
        raise ValueError(f"the resistance must be above 0, not {sense_ohms:g} and {extra_ohms:g}")
    return full_scale_volts / (sense_ohms + extra_ohms) / sqrt(2.0)


def peak_current(rms: float) -> float:
    """The peak in A of a sine of ``rms`` A: √2 times as much."""
    return sqrt(2.0) * rms
