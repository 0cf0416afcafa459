"""Ratios as they are written: gears as ``60:16`` or several such stages, microsteps as ``16`` or ``1/16``."""

from __future__ import annotations

from math import prod

from cfgaudit.machine.model import Meaning
from cfgaudit.syntax.value import Fraction, Items, Number, Value


def gear_ratio(meaning: Meaning) -> float | None:
    """Turns of the motor for one turn of what it drives; stages multiply. None where it is no ratio."""
    return _product(meaning.value) if meaning.fits else None


def _product(value: Value) -> float | None:
    if isinstance(value, Number):
        return value.amount
    if isinstance(value, Fraction):
        return value.over / value.under if value.under else None
    if isinstance(value, Items):
        stages = [_product(item) for item in value.items]
        known = [stage for stage in stages if stage is not None]
        return prod(known) if len(known) == len(stages) else None
    return None


def microsteps(meaning: Meaning) -> float | None:
    """Microsteps a full step; ``1/16`` and ``1:16`` mean 16. None where it is no number."""
    value = meaning.value
    if not meaning.fits:
        return None
    if isinstance(value, Number):
        return value.amount
    if isinstance(value, Fraction) and 1 in (value.over, value.under):
        return value.under if value.over == 1 else value.over
    return None
