"""Units: what they measure and how they convert to the base unit of their dimension.

Factors are those of the SI brochure (9th edition); the inch is 25.4 mm (international yard, 1959).
"""

from __future__ import annotations

from functools import lru_cache

from cfgaudit.syntax.value import Dimension, Number

Scale = tuple[float, float]
"""Multiply by the first, divide by the second: keeps thousandths and minutes exact."""

TABLE: dict[Dimension, dict[Scale, str]] = {
    Dimension.LENGTH: {
        (1, 1): "mm mm/turn mm/rev mm/rotation",
        (1, 1000): "um",
        (10, 1): "cm",
        (1000, 1): "m",
        (25.4, 1): "in inch inches",
    },
    Dimension.SPEED: {
        (1, 1): "mm/s",
        (1, 60): "mm/min",
        (10, 1): "cm/s",
        (10, 60): "cm/min",
        (1000, 1): "m/s",
        (1000, 60): "m/min",
    },
    Dimension.ACCELERATION: {(1, 1): "mm/s2", (10, 1): "cm/s2", (1000, 1): "m/s2"},
    Dimension.TEMPERATURE: {(1, 1): "c °c degc celsius K kelvin"},
    Dimension.TEMPERATURE_RATE: {(1, 1): "c/s °c/s degc/s k/s", (1, 60): "c/min °c/min degc/min k/min"},
    Dimension.FREQUENCY: {(1, 1): "hz", (1000, 1): "khz", (1e6, 1): "mhz"},
    Dimension.TIME: {
        (1, 1): "s sec secs second seconds",
        (1, 1000): "ms msec",
        (1, 1e6): "us usec",
        (60, 1): "min minute minutes",
        (3600, 1): "h hour hours",
    },
    Dimension.CURRENT: {(1, 1): "a amp amps", (1, 1000): "mA", (1000, 1): "kA"},
    Dimension.VOLTAGE: {(1, 1): "v volt volts", (1, 1000): "mV", (1000, 1): "kV"},
    Dimension.RESISTANCE: {
        (1, 1): "ohm ohms r",
        (1, 1000): "mohm mohms",
        (1000, 1): "k kohm kohms",
        (1e6, 1): "M Mohm Mohms",
    },
    Dimension.POWER: {(1, 1): "w watt watts", (1, 1000): "mW", (1000, 1): "kW"},
    Dimension.RATIO: {(1, 100): "% percent"},
    Dimension.ANGLE: {(1, 1): "° deg degree degrees"},
    Dimension.BITRATE: {
        (1, 1): "bit/s bits/s bps baud",
        (1000, 1): "kbit/s kbits/s kbps kbaud",
        (1e6, 1): "Mbit/s Mbits/s Mbps Mbaud",
    },
}
UNITS: dict[str, tuple[Dimension, Scale]] = {
    name: (dimension, scale)
    for dimension, scales in TABLE.items()
    for scale, names in scales.items()
    for name in names.split()
}
COUNT: tuple[Dimension, Scale] = (Dimension.NONE, (1, 1))
"""Steps, teeth, points: words after a number that say what is counted and measure nothing."""

THOUSANDS = (Dimension.RESISTANCE, Dimension.BITRATE, Dimension.FREQUENCY)

SYMBOLS = str.maketrans(
    {"²": "2", "^": "", "µ": "u", "\u03bc": "u", "\u03a9": "ohm", "\u2126": "ohm", "℃": "°c"}
)
"""Symbols to plain letters: the micro sign and the Greek mu, the Greek omega and the ohm sign."""

ISO_8859_1 = {0xDC00 + ord(symbol): symbol for symbol in "°²µ"}
"""The bytes of these in ISO 8859-1 and its relatives, as `surrogateescape` decodes them, to the symbols:
editors of old write them, and such a limit is still a limit."""

SECOND_READINGS: dict[tuple[Dimension, str], Scale] = {
    **{(dimension, letter): (1000, 1) for dimension in THOUSANDS for letter in ("k", "K")},
    **{(dimension, "M"): (1e6, 1) for dimension in THOUSANDS},
    (Dimension.TIME, "m"): (60, 1),
}
"""What a letter means where the dimension is known from elsewhere: a 4.7K resistor, 250k on a bus."""


@lru_cache(maxsize=1024)
def unit_meaning(unit: str) -> tuple[Dimension, Scale]:
    """What a unit that the grammar knows measures, and its scale; `COUNT` for words that only count."""
    plain = "".join(unit.translate(SYMBOLS).split()).replace("/sec", "/s").replace("Ohm", "ohm")
    if plain.startswith("mmper"):
        plain = plain.replace("per", "/")
    return UNITS.get(plain) or UNITS.get(plain.lower()) or COUNT


def amount_as(number: Number, dimension: Dimension) -> float | None:
    """The amount in the base unit of a dimension that is expected; None if the unit contradicts it.

    A bare number is taken to be in the base unit. A letter with two uses in the trade takes the one that
    fits: ``K`` of a resistor is a thousand, ``k`` of a bus as well, ``m`` of a time is a minute.
    """
    if number.dimension in (dimension, Dimension.NONE):
        return number.amount
    second = SECOND_READINGS.get((dimension, number.unit))
    if second is None:
        return None
    _, (times, by) = unit_meaning(number.unit)
    return number.amount * by / times * second[0] / second[1]
