"""A record: one measurement, tied to the configuration that it was taken with."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from functools import cached_property
from typing import NamedTuple, TypeVar

from cfgaudit.syntax.document import Place
from cfgaudit.tree.names import fold_name

Key = TypeVar("Key")

FOLDER = "evidence"
"""Beside the main file."""
FORM = 1
"""The form of the files; a later form gets a later number."""
HOURS = "hours"
"""The name of the result of a record of hours."""
HOUR = "h"
"""Its unit."""
HOURS_AT_MOST = 1e6
"""More than a century."""


class MeasurementKind(StrEnum):
    """What was measured, or declared."""

    RESONANCE = "resonance"
    """Of one axis, with an accelerometer."""
    BELTS = "belts"
    """Two belts against one another."""
    REPEATABILITY = "repeatability"
    """Of a probe: readings at one place."""
    HEATUP = "heatup"
    """Of one heater: time, temperature, duty."""
    HOURS = "hours"
    """Hours that a part has run since it was replaced, or since the last record of it."""
    VALUE = "value"
    """Any other number."""
    HARDWARE = "hardware"
    """No measurement: the builder says that something was changed that no file tells."""


class Result(NamedTuple):
    """One measured quantity. ``spread`` is the sample standard deviation of several ``samples``."""

    name: str
    """In words of the trade: ``natural frequency``."""
    value: float
    unit: str
    samples: int = 1
    spread: float | None = None
    better: str = ""
    """``higher`` or ``lower`` where the builder says which is better."""


class DependedOn(NamedTuple):
    """A setting that the measurement depends on, as it was then."""

    part: str
    """Kind and name: ``driver x``."""
    role: str
    axis: str | None
    value: str
    """As written; bytes that are no UTF-8 as escapes."""
    section: str
    setting: str


class RawFile(NamedTuple):
    """The file that the results were computed from; it need not be kept."""

    name: str
    sha256: str


class Record(NamedTuple):
    """One file in the folder ``evidence``."""

    file: str
    """Relative to the main file's folder: ``evidence/2026-11-10-resonance-x.toml``."""
    kind: MeasurementKind
    date: datetime
    """With its offset from UTC."""
    part: str
    """Kind and name, ``axis x``; of a value its name; of hours the part as the builder calls it."""
    commit: str | None
    """The full id of the commit that the files were at; None outside git."""
    digest: str
    """Of all effective settings then."""
    results: tuple[Result, ...] = ()
    depends: tuple[DependedOn, ...] = ()
    raw: tuple[RawFile, ...] = ()
    instrument: str = ""
    conditions: str = ""
    note: str = ""
    affects: tuple[str, ...] = ()
    """Of a declared change of hardware: parts (``axis x``), globs allowed."""
    replaced: bool = False
    """Of hours: whether the part was new then, so that counting starts again."""
    line: int = 1
    """Of hours: where in the file they stand."""
    main: str = ""
    """The main file that was measured with: a folder may hold several machines. Empty where nobody knows."""
    chosen: tuple[DependedOn, ...] = ()
    """What the builder had chosen and some results are about: the shaper, the regulator's gains."""
    unread: str = ""
    """Short digests, blanks between, of the settings that by other words might have counted and did not.
    Empty in records of before they were kept."""
    doubts: tuple[str, ...] = ()
    """What speaks against its results, each as one clause: no rule is held against a record that has any."""

    @property
    def title(self) -> str:
        """What it is of, for people: ``resonance of axis x``, ``hours of belts``."""
        match self.kind:
            case MeasurementKind.BELTS | MeasurementKind.VALUE:
                return self.part
            case MeasurementKind.HARDWARE:
                return f"change of hardware: {self.part}"
            case MeasurementKind.HEATUP:
                return f"heat-up of {self.part}"
            case _:
                return f"{self.kind} of {self.part}"

    def result(self, name: str) -> Result | None:
        """The result of that name."""
        return next((one for one in self.results if one.name == name), None)


class BrokenRecord(NamedTuple):
    """A file in the folder that is no record; ``why`` is one clause that says what is wrong."""

    file: str
    line: int
    why: str


class Barred(NamedTuple):
    """Why nothing below the name of the folder can be read, though something has that name."""

    why: str
    """One clause: ``it is a file``."""
    remedy: str
    """What to do, as a clause."""


class Staleness(NamedTuple):
    """Why a record no longer holds: what it depends on was changed since, each as one clause."""

    record: Record
    reasons: tuple[str, ...]
    places: tuple[Place, ...] = ()
    """Of the settings that are others now, as far as they still are."""


class Outdated(NamedTuple):
    """Results of a record that holds, about something that was chosen anew since, each as one clause."""

    record: Record
    results: tuple[str, ...]
    """Their names."""
    reasons: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class Evidence:
    """All that was measured, newest first; told from others by identity, as a machine is."""

    records: tuple[Record, ...] = ()
    broken: tuple[BrokenRecord, ...] = ()
    others: tuple[Record, ...] = ()
    """What was measured of other machines whose main files lie in the same folder; it counts for nothing."""
    barred: Barred | None = None
    """Of a folder that is there and cannot be looked into, so that nobody knows what was measured."""

    def of(self, kind: MeasurementKind, part: str | None = None) -> tuple[Record, ...]:
        """The records of a kind (and a part, however its name is spelled), newest first."""
        if part is None:
            return self._by_kind.get(kind, ())
        return self._by_part.get((kind, fold_name(part)), ())

    def newest(self, kind: MeasurementKind) -> tuple[Record, ...]:
        """The newest record of each part that has one of this kind."""
        return tuple(found[0] for (one, _), found in self._by_part.items() if one is kind)

    def newest_sure(self, kind: MeasurementKind) -> tuple[Record, ...]:
        """As `newest`, of the records that nothing speaks against."""
        by_part = (found for (one, _), found in self._by_part.items() if one is kind)
        sure = (next((one for one in found if not one.doubts), None) for found in by_part)
        return tuple(one for one in sure if one is not None)

    @cached_property
    def _by_kind(self) -> Mapping[MeasurementKind, tuple[Record, ...]]:
        return _grouped((one.kind, one) for one in self.records)

    @cached_property
    def _by_part(self) -> Mapping[tuple[MeasurementKind, str], tuple[Record, ...]]:
        return _grouped(((one.kind, fold_name(one.part)), one) for one in self.records)


def _grouped(pairs: Iterable[tuple[Key, Record]]) -> Mapping[Key, tuple[Record, ...]]:
    found: dict[Key, list[Record]] = {}
    for key, record in pairs:
        found.setdefault(key, []).append(record)
    return {key: tuple(records) for key, records in found.items()}


NO_EVIDENCE = Evidence()


def as_kept(value: float) -> float:
    """A number as a record holds it: more than six digits are noise, with fewer repetitions look equal."""
    return float(f"{value:.6g}")


def carried(text: str) -> str:
    """A text as a record can hold it: bytes of a configuration that are no UTF-8 are written out."""
    return text if text.isascii() else text.encode("utf-8", "backslashreplace").decode("utf-8")


def restored(text: str) -> str:
    """What `carried` was given, as far as names go."""
    return _CARRIED.sub(lambda byte: chr(int(byte[1], 16)), text) if "\\udc" in text else text


_CARRIED = re.compile(r"\\u(dc[89a-f][0-9a-f])")
