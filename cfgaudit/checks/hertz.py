"""Frequencies in messages."""

from __future__ import annotations

from cfgaudit.checks.rule import format_amount


def hertz_text(amount: float) -> str:
    """``50 Hz``, ``25 kHz``, ``5 MHz``."""
    for unit, size in (("MHz", 1e6), ("kHz", 1e3)):
        if amount >= size:
            return format_amount(amount / size, unit)
    return format_amount(amount, "Hz")
