"""The units that the headers of a heat-up's columns state."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

from cfgaudit.evidence.recordings.channels import TIME_UNITS
from cfgaudit.evidence.recordings.columns import MeasurementError
from cfgaudit.evidence.recordings.stated_units import bracketed_unit, last_word


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


def stated_unit(path: Path, meaning: str, name: str) -> Unit | None:
    """The unit that a header states; None where it states none. Raises MeasurementError for one unknown."""
    text = " ".join(name.casefold().split())
    if unit := bracketed_unit(text):
        if unit not in UNITS[meaning]:
            raise MeasurementError(
                f'{path}: "{unit[:30]}" is no unit of {meaning} here: give it in {NAMED[meaning]}'
            )
        return UNITS[meaning][unit]
    return UNITS[meaning].get(last_word(text))
