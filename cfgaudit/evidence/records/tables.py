"""Parsed tables to a record, every value checked."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from datetime import datetime
from math import isfinite
from typing import Any, TypeVar

from cfgaudit.evidence.records.key_lines import line_of
from cfgaudit.evidence.records.quantities import missing, unfit
from cfgaudit.evidence.records.record import (
    FORM,
    HOUR,
    HOURS,
    HOURS_AT_MOST,
    DependedOn,
    MeasurementKind,
    RawFile,
    Record,
    Result,
)

Made = TypeVar("Made")
COMMIT = re.compile(r"[0-9a-f]{7,64}")
Table = Mapping[str, Any]


class UnfitError(ValueError):
    """What is wrong with a record: the key, and what is expected."""

    def __init__(self, key: str, expected: str, name: str = "") -> None:
        super().__init__(f"{name or key} must be {expected}")
        self.key = key
        self.table: str | None = None
        self.index: int | None = None

    def line_in(self, text: str) -> int:
        """The line of the file's text that the error is about."""
        return (
            line_of(text, self.key) if self.table is None else line_of(text, self.table, self.index, self.key)
        )


class MissingResultError(UnfitError):
    """That the result is missing which a record of its kind is about."""

    def __init__(self, name: str) -> None:
        ValueError.__init__(self, f"{name} is missing")
        self.key, self.table, self.index = "result", "result", 0


def read_record(file: str, table: Table) -> Record:
    """The record of a file's tables. Raises UnfitError. What a later cfgaudit may add is left alone."""
    form, kind, date = table.get("form"), table.get("kind"), table.get("date")
    if not _is_whole(form) or form != FORM:
        raise UnfitError("form", f"{FORM}: this is no record of cfgaudit, or one of a newer cfgaudit")
    if kind not in tuple(MeasurementKind):
        raise UnfitError("kind", f"one of {', '.join(MeasurementKind)}")
    if not isinstance(date, datetime) or date.tzinfo is None:
        raise UnfitError("date", "a date and time with its offset, 2026-11-10T08:05:00+01:00")
    replaced = table.get("replaced", False)
    if not isinstance(replaced, bool):
        raise UnfitError("replaced", "true or false")
    record = Record(
        file,
        MeasurementKind(kind),
        date,
        _text(table, "part", needed=True),
        _commit(table),
        _text(table, "digest"),
        _each(table, "result", _result),
        _each(table, "setting", _depended_on),
        _each(table, "raw", _raw),
        _text(table, "instrument"),
        _text(table, "conditions"),
        _text(table, "note"),
        _words(table, "affects"),
        replaced,
        main=_text(table, "main"),
        chosen=_each(table, "chosen", _depended_on),
        unread=_text(table, "unread"),
        doubts=_words(table, "doubts"),
    )
    _check_whole(record, table)
    if record.kind is MeasurementKind.HOURS:
        _check_hours(record)
    elif record.kind is not MeasurementKind.HARDWARE:
        _check_results(record)
    return record


def _check_whole(record: Record, table: Table) -> None:
    """What stands at a file's end is counted at its beginning."""
    there = len(record.depends) + len(record.chosen)
    if table.get("settings", there) != there:
        raise UnfitError(
            "settings", f"how many [[setting]] and [[chosen]] follow, and {there} do: is it cut off?"
        )


def _check_results(record: Record) -> None:
    """Where nothing was measured the file is cut off."""
    if not record.results:
        raise UnfitError("result", "a list of what was measured, with one at least")
    for index, result in enumerate(record.results):
        if (wrong := unfit(record.kind, result)) is not None:
            error = UnfitError(*wrong, result.name)
            error.table, error.index = "result", index
            raise error
    if (name := missing(record.kind, record.results)) is not None:
        raise MissingResultError(name)


def _check_hours(record: Record) -> None:
    run = record.result(HOURS)
    if run is None or run.unit != HOUR or not 0 <= run.value <= HOURS_AT_MOST:
        error = UnfitError("result", f'a list with "{HOURS}", from 0 to {HOURS_AT_MOST:.0f} "{HOUR}"')
        if run is not None:
            error.table, error.index = "result", record.results.index(run)
        raise error


def _commit(table: Table) -> str | None:
    commit = _text(table, "commit")
    if commit and not COMMIT.fullmatch(commit):
        raise UnfitError("commit", "the id of a commit, 40 digits from 0 to f")
    return commit or None


def _text(table: Table, key: str, *, needed: bool = False) -> str:
    value = table.get(key, "")
    if not isinstance(value, str) or (needed and not value.strip()):
        raise UnfitError(key, "a text")
    return value


def _each(table: Table, key: str, make: Callable[[Any], Made]) -> tuple[Made, ...]:
    values = table.get(key, [])
    if not isinstance(values, list):
        raise UnfitError(key, "a list")
    return tuple(_numbered(key, make, values))


def _numbered(key: str, make: Callable[[Any], Made], values: list[Any]) -> Iterator[Made]:
    for index, value in enumerate(values):
        try:
            yield make(value)
        except UnfitError as error:
            error.table, error.index = key, index
            raise


def _words(table: Table, key: str) -> tuple[str, ...]:
    values = table.get(key, [])
    if not isinstance(values, list) or not all(isinstance(one, str) and one.strip() for one in values):
        raise UnfitError(key, "a list of texts")
    return tuple(values)


def _result(table: object) -> Result:
    if not isinstance(table, dict):
        raise UnfitError("result", "a table with name, value and unit")
    value, spread, samples = _number(table.get("value")), table.get("spread"), table.get("samples", 1)
    if value is None:
        raise UnfitError("value", "a finite number")
    if not _is_whole(samples) or samples < 1:
        raise UnfitError("samples", "a whole number from 1")
    if spread is not None and ((spread := _number(spread)) is None or spread < 0):
        raise UnfitError("spread", "a finite number from 0")
    better = _text(table, "better")
    if better not in ("", "higher", "lower"):
        raise UnfitError("better", "higher or lower")
    return Result(_text(table, "name", needed=True), value, _text(table, "unit"), samples, spread, better)


def _is_whole(value: object) -> bool:
    return isinstance(value, int) and not isinstance(value, bool)


def _number(value: object) -> float | None:
    """A finite number; None for anything else."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    try:
        return float(value) if isfinite(value) else None
    except OverflowError:  # a whole number beyond the largest double
        return None


def _depended_on(table: object) -> DependedOn:
    keys = ("part", "role", "value", "section", "setting")
    if not isinstance(table, dict) or not all(isinstance(table.get(key), str) for key in keys):
        raise UnfitError("setting", "a table with part, role, value, section and setting")
    axis = table.get("axis")
    if axis is not None and not isinstance(axis, str):
        raise UnfitError("axis", "a text")
    return DependedOn(table["part"], table["role"], axis, table["value"], table["section"], table["setting"])


def _raw(table: object) -> RawFile:
    if not isinstance(table, dict) or not all(isinstance(table.get(key), str) for key in ("name", "sha256")):
        raise UnfitError("raw", "a table with name and sha256")
    return RawFile(table["name"], table["sha256"])
