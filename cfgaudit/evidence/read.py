"""The folder ``evidence`` to records."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from datetime import datetime
from math import isfinite
from typing import Any

from cfgaudit.evidence.record import (
    FOLDER,
    FORM,
    NO_EVIDENCE,
    BrokenRecord,
    DependedOn,
    Evidence,
    MeasurementKind,
    RawFile,
    Record,
    Result,
)
from cfgaudit.kept import kept
from cfgaudit.source import Source, SourceError

SUFFIX = ".toml"
RECORDS_AT_MOST = 10_000
SIZE_AT_MOST = 256 * 1024
"""Bytes. A record is a page of text."""

_AT = re.compile(r"^(.*) \(at (?:line (\d+), column \d+|end of document)\)$", re.DOTALL)

Parsed = Mapping[str, Any] | tuple[int, str]
"""The tables of a file; or the line and the reason where it is no TOML."""


class UnfitError(ValueError):
    """What a record lacks: the key, and what is expected."""

    def __init__(self, key: str, expected: str) -> None:
        super().__init__(f"{key} must be {expected}")
        self.key = key


def read_evidence(source: Source) -> Evidence:
    """Every record below the source's root, newest first, and the files in the folder that are none."""
    files = tuple(_texts(source))
    if not files:
        return NO_EVIDENCE
    readable = [text for _, text in files if isinstance(text, str)]
    tables = iter(kept("evidence", readable, lambda: [_parse(text) for text in readable]))
    records: list[Record] = []
    broken: list[BrokenRecord] = []
    for file, text in files:
        if isinstance(text, SourceError):
            broken.append(BrokenRecord(file, 1, str(text)))
            continue
        made = _made(file, text, next(tables))
        if isinstance(made, Record):
            records.append(made)
        else:
            broken.append(made)
    records.sort(key=lambda one: (one.date, one.file), reverse=True)
    return Evidence(tuple(records), tuple(broken))


def _texts(source: Source) -> Iterator[tuple[str, str | SourceError]]:
    """Every file that could be a record, with its text, or with why it cannot be had."""
    names = source.folder(FOLDER) or ()
    wanted = [name for name in names if name.endswith(SUFFIX) and not name.startswith(".")]
    for name in wanted[:RECORDS_AT_MOST]:
        file = f"{FOLDER}/{name}"
        try:
            data = source.read(file)
        except SourceError as error:
            yield file, error
            continue
        yield file, _decoded(data)


def _decoded(data: bytes) -> str | SourceError:
    if len(data) > SIZE_AT_MOST:
        return SourceError("it is far too long for a record")
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        return SourceError("it is not written in UTF-8")


def _parse(text: str) -> Parsed:
    import tomllib  # rarely needed: tables are kept

    try:
        return tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        found = _AT.match(str(error))
        line = int(found[2]) if found and found[2] else text.count("\n") + 1 if found else 1
        return line, f"it is no TOML: {found[1] if found else error}"


def _made(file: str, text: str, parsed: Parsed) -> Record | BrokenRecord:
    if isinstance(parsed, tuple):
        return BrokenRecord(file, *parsed)
    try:
        return _record(file, parsed)
    except UnfitError as error:
        return BrokenRecord(file, _line_of(text, error.key), str(error))


def _line_of(text: str, key: str) -> int:
    """The first line that sets a key; 1 where none does."""
    lines = text.splitlines()
    return next((number for number, line in enumerate(lines, 1) if line.lstrip().startswith(key)), 1)


def _record(file: str, table: Mapping[str, Any]) -> Record:
    if table.get("form") != FORM:
        raise UnfitError("form", f"{FORM}: this is no record of cfgaudit, or one of a newer cfgaudit")
    kinds = ", ".join(MeasurementKind)
    if table.get("kind") not in tuple(MeasurementKind):
        raise UnfitError("kind", f"one of {kinds}")
    date = table.get("date")
    if not isinstance(date, datetime) or date.tzinfo is None:
        raise UnfitError("date", "a date and time with its offset, 2026-11-10T08:05:00+01:00")
    return Record(
        file,
        MeasurementKind(table["kind"]),
        date,
        _text(table, "part", needed=True),
        _text(table, "commit") or None,
        _text(table, "digest"),
        tuple(_each(table, "result", _result)),
        tuple(_each(table, "setting", _depended_on)),
        tuple(_each(table, "raw", _raw)),
        _text(table, "instrument"),
        _text(table, "conditions"),
        _text(table, "note"),
        tuple(_each(table, "affects", _word)),
        table.get("replaced") is True,
    )


def _text(table: Mapping[str, Any], key: str, *, needed: bool = False) -> str:
    value = table.get(key, "")
    if not isinstance(value, str) or (needed and not value.strip()):
        raise UnfitError(key, "a text")
    return value


def _each(table: Mapping[str, Any], key: str, make: Callable[[Any], Any]) -> Iterable[Any]:
    values = table.get(key, [])
    if not isinstance(values, list):
        raise UnfitError(key, "a list")
    return map(make, values)


def _word(value: object) -> str:
    if not isinstance(value, str) or not value.strip():
        raise UnfitError("affects", "a list of texts")
    return value


def _result(table: object) -> Result:
    if not isinstance(table, dict):
        raise UnfitError("result", "a table with name, value and unit")
    value, spread, samples = _number(table.get("value")), table.get("spread"), table.get("samples", 1)
    if value is None or not isinstance(table.get("name"), str) or not isinstance(table.get("unit", ""), str):
        raise UnfitError("value", "a number, in a result with name and unit")
    if not isinstance(samples, int) or isinstance(samples, bool) or samples < 1:
        raise UnfitError("samples", "a whole number from 1")
    if spread is not None and (_number(spread) is None or spread < 0):
        raise UnfitError("spread", "a number from 0")
    if table.get("better", "") not in ("", "higher", "lower"):
        raise UnfitError("better", "higher or lower")
    return Result(
        table["name"], value, table.get("unit", ""), samples, _number(spread), table.get("better", "")
    )


def _number(value: object) -> float | None:
    plain = isinstance(value, int | float) and not isinstance(value, bool)
    return float(value) if plain and isfinite(value) else None  # type: ignore[arg-type]


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
