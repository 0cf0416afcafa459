"""What the settings that nobody understands could be: where they could be it, absence proves nothing."""

from __future__ import annotations

import re
from collections.abc import Iterable

from cfgaudit.machine.model import Part
from cfgaudit.syntax.read_value import read_value
from cfgaudit.syntax.value import Boolean, Dimension, Number, Opaque
from cfgaudit.tree.config_tree import Setting

NUMERAL = re.compile(r"(?<!\w)(?<!\d\.)\d++(?:\.\d+)?+(?=[CFK]\b|(?!\w))")
"""A number that stands alone, or with a temperature's unit: none inside the type of a sensor (``B3950``)."""


def could_name(part: Part) -> bool:
    """Whether an unknown setting of the part could be a pin or the name of another part."""
    return any(not isinstance(read_value(one.value), (Number, Boolean)) for one in part.unknown)


def could_limit(parts: Iterable[Part], least: float, most: float) -> bool:
    """Whether an unknown setting could be a limit of ``least`` to ``most`` °C."""
    return any(_holds_temperature(one, least, most) for part in parts for one in part.unknown)


def _holds_temperature(setting: Setting, least: float, most: float) -> bool:
    value = read_value(setting.value)
    if isinstance(value, Opaque):
        return True
    if isinstance(value, Number):
        return least <= value.amount <= most and value.dimension in (Dimension.NONE, Dimension.TEMPERATURE)
    return any(least <= float(numeral) <= most for numeral in NUMERAL.findall(setting.value))
