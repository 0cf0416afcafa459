"""The units that the headers of a heat-up's columns state."""

from __future__ import annotations

import re
from pathlib import Path
from typing import NamedTuple

from cfgaudit.evidence.recordings.channels import BRACKETED, TIME_UNITS
from cfgaudit.evidence.recordings.columns import MeasurementError


class Unit(NamedTuple):
    """To s, °C, or a share of full power: times a factor, plus an offset."""

    factor: float
    offset: float = 0.0


SECOND, MINUTE, CELSIUS = Unit(1.0), Unit(60.0), Unit(1.0)
KELVIN, FAHRENHEIT = Unit(1.0, -273.15), Unit(5.0 / 9.0, -160.0 / 9.0)
UNITS = {
    "time": {
        **{name: Unit(factor) for name, factor in TIME_UNITS.items()},
        **dict.fromkeys(("min", "mins", "minute", "minutes"), MINUTE),
    },
    "temperature": {
        **dict.fromkeys(("°c", "c", "deg c", "degc", "celsius"), CELSIUS),
        **dict.fromkeys(("k", "kelvin"), KELVIN),
        **dict.fromkeys(("°f", "f", "deg f", "degf", "fahrenheit"), FAHRENHEIT),
    },
    "duty": {"1": Unit(1.0), **dict.fromkeys(("%", "percent", "per cent"), Unit(0.01))},
}
"""Of each column. Where none is stated times are in s, temperatures in °C; a duty's numbers tell."""
NAMED = {"time": "s, ms or min", "temperature": "°C, K or °F", "duty": "1 or %"}
BARE_UNIT = re.compile(r"(?:[\s_/.,-]|\bin\b)+([^\W\d_]+|°[cf]|%)$")
"""The last word of a header without brackets: ``temp_k``, ``time in min``, ``temperature/°C``."""


def stated_unit(path: Path, meaning: str, name: str) -> Unit | None:
    """The unit that a header states; None where it states none. Raises MeasurementError for one unknown."""
    text = " ".join(name.casefold().split())
    if (found := BRACKETED.search(text)) and found[1]:
        if found[1] not in UNITS[meaning]:
            raise MeasurementError(
                f'{path}: "{found[1][:30]}" is no unit of {meaning} here: give it in {NAMED[meaning]}'
            )
        return UNITS[meaning][found[1]]
    bare = BARE_UNIT.search(text)
    return UNITS[meaning].get(bare[1]) if bare else None
