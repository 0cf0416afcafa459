"""Which column of an accelerometer's run is what: its time and its accelerations, by header or by name."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

from cfgaudit.evidence.recordings.columns import Columns, MeasurementError, column_called, listed
from cfgaudit.evidence.recordings.table_layout import SHOWN

GRAVITY = 9806.65
"""mm/s², the standard value (3rd CGPM, 1901)."""
SECOND, MILLISECOND, MICROSECOND, NANOSECOND = 1.0, 1e-3, 1e-6, 1e-9
TIME_UNITS: Mapping[str, float] = {
    **dict.fromkeys(("s", "sec", "secs", "second", "seconds"), SECOND),
    **dict.fromkeys(("ms", "msec", "msecs", "millis", "millisecond", "milliseconds"), MILLISECOND),
    **dict.fromkeys(("us", "µs", "μs", "usec", "usecs", "micros"), MICROSECOND),
    **dict.fromkeys(("microsecond", "microseconds"), MICROSECOND),
    **dict.fromkeys(("ns", "nsec", "nsecs", "nanos", "nanosecond", "nanoseconds"), NANOSECOND),
}
"""Factors to seconds."""
PER_SECOND_SQUARED = ("/s2", "/s²", "/s^2", "/s**2", "/s/s", "s-2", "s^-2", "·s⁻²")
UNITS: Mapping[str, float] = {
    **{f"mm{square}": 1.0 for square in PER_SECOND_SQUARED},
    **{f"m{square}": 1e3 for square in PER_SECOND_SQUARED},
    "g": GRAVITY,
    "mg": GRAVITY / 1e3,
}
"""Factors to mm/s²."""
TIME_WORDS = frozenset(("time", "times", "t", "timestamp", "timestamps", "ts", "clock", "epoch", "elapsed"))
ACCELERATION_WORDS = frozenset(("a", "acc", "accel", "acceleration", "accelerations"))
BRACKETED = re.compile(r"[(\[]\s*([^)\]]*?)\s*[)\]]")
ALL_UNITS = "|".join(map(re.escape, sorted((*TIME_UNITS, *UNITS), key=len, reverse=True)))
ENDING = re.compile(rf"(.*?)(?:^|[\s_/,:-]+)({ALL_UNITS})")
JOINED = re.compile(r"(a|acc|accel|acceleration)([xyz])|([xyz])(acc|accel|acceleration)")
LETTERS = "xyz"
UNNAMED = "a"
"""What a single acceleration is called that has no letter."""


class Channels(NamedTuple):
    """Which column is the time, and which the acceleration of every direction; units as factors."""

    time: int
    time_unit: float | None
    """To seconds; None where the header does not say it."""
    signals: Mapping[str, int]
    """By axis letter; ``a`` for a single one that has none."""
    unit: float | None
    """To mm/s²; None where the header does not say it."""


class Heading(NamedTuple):
    """What the header of one column says."""

    words: tuple[str, ...]
    """In lower case, without the unit."""
    unit: str
    """In lower case; empty where there is none."""

    @property
    def is_time(self) -> bool:
        return not TIME_WORDS.isdisjoint(self.words) or self.unit in TIME_UNITS

    @property
    def is_acceleration(self) -> bool:
        return not ACCELERATION_WORDS.isdisjoint(self.words) or self.unit in UNITS

    @property
    def letter(self) -> str:
        """The one axis that it names, or nothing."""
        named = [word for word in self.words if word in LETTERS]
        return named[0] if len(named) == 1 else ""


def find_channels(path: Path, table: Columns, columns: Sequence[str] = ()) -> Channels:
    """The columns of a run: those that ``columns`` names, time first, or by the header.

    Without a header the first column is the time, one or three others are the accelerations. Raises
    MeasurementError.
    """
    headings = [read_heading(name) if table.has_header else Heading((), "") for name in table.names]
    if columns:
        time, *others = _asked(path, table, columns)
        signals = _in_order(others)
    elif not table.has_header:
        time, signals = _counted(path, len(table.names))
    else:
        time = _time(path, table, headings)
        signals = _accelerations(path, table, headings, time)
    return Channels(
        time,
        _time_unit(path, headings[time].unit),
        signals,
        _stated_unit(path, [headings[at].unit for at in signals.values()]),
    )


def read_heading(name: str) -> Heading:
    """``accel_x (m/s²)`` to its words and its unit, which stands in brackets or at the end."""
    found = BRACKETED.search(name)
    bare = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", BRACKETED.sub(" ", name)).casefold().strip()
    unit = found[1].casefold().replace(" ", "") if found else ""
    if not unit and (ending := ENDING.fullmatch(bare)):
        bare, unit = ending[1], ending[2]
    words: list[str] = []
    for word in re.findall(r"[^\W\d_]+", bare):
        joined = JOINED.fullmatch(word)
        words += [part for part in joined.groups() if part] if joined else [word]
    return Heading(tuple(words), unit)


def _asked(path: Path, table: Columns, columns: Sequence[str]) -> list[int]:
    found = [column_called(path, table, name) for name in columns]
    if len(set(found)) != len(found) or len(found) not in (2, 4):
        raise MeasurementError(
            f"{path}: --columns needs the time and one or three accelerations, each once: "
            "--columns TIME,X,Y,Z"
        )
    return found


def _counted(path: Path, width: int) -> tuple[int, Mapping[str, int]]:
    if width not in (2, 4):
        raise MeasurementError(
            f"{path} has {width} {'column' if width == 1 else 'columns'} and no header, not a time and one "
            "or three accelerations: name those, such as --columns 1,2,3,4"
        )
    return 0, _in_order(range(1, width))


def _time(path: Path, table: Columns, headings: Sequence[Heading]) -> int:
    found = [at for at, one in enumerate(headings) if one.is_time and not one.letter]
    if len(found) != 1:
        what = "no column is" if not found else f"{len(found)} columns are"
        raise MeasurementError(
            f"{path}: {what} called time ({listed(table.names)}): name the columns with --columns TIME,X,Y,Z"
        )
    return found[0]


def _accelerations(path: Path, table: Columns, headings: Sequence[Heading], time: int) -> Mapping[str, int]:
    """Those that speak of acceleration; else those that name an axis; else all others: one or three."""
    others = [at for at in range(len(headings)) if at != time]
    accelerations = [at for at in others if headings[at].is_acceleration]
    lettered = [at for at in others if headings[at].letter]
    found = next((some for some in (accelerations, lettered, others) if some), [])
    if len(found) > 3 and lettered:
        found = [at for at in found if headings[at].letter]
    letters = [headings[at].letter for at in found]
    if len(found) == 1:
        return {letters[0] or UNNAMED: found[0]}
    if len(found) == 3 and not any(letters):
        return _in_order(found)
    if len(found) == 3 and set(letters) == set(LETTERS):
        return dict(zip(letters, found, strict=True))
    raise MeasurementError(
        f"{path}: not one or three columns are accelerations ({listed(table.names)}): name the columns with "
        "--columns TIME,X,Y,Z"
    )


def _in_order(indices: Sequence[int]) -> Mapping[str, int]:
    return dict(zip(LETTERS, indices, strict=True)) if len(indices) == 3 else {UNNAMED: indices[0]}


def _time_unit(path: Path, unit: str) -> float | None:
    if unit and unit not in TIME_UNITS:
        raise MeasurementError(
            f'{path}: "{unit[:SHOWN]}" is no unit of time: write s, ms or us into the header'
        )
    return TIME_UNITS.get(unit)


def _stated_unit(path: Path, units: Sequence[str]) -> float | None:
    """The unit of all accelerations: the same for each, or none for any."""
    if unknown := next((unit for unit in units if unit and unit not in UNITS), ""):
        raise MeasurementError(
            f'{path}: "{unknown[:SHOWN]}" is no unit of acceleration: write g, m/s² or mm/s² into the header'
        )
    factors = {UNITS.get(unit) for unit in units}
    if len(factors) > 1:
        told = ", ".join(unit or "none" for unit in units)
        raise MeasurementError(f"{path}: the accelerations have different units ({told}): give all in one")
    return factors.pop()
