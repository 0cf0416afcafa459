"""The folder ``evidence`` to records."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping
from datetime import datetime, timedelta
from functools import lru_cache
from typing import Any

from cfgaudit.evidence.records.key_lines import line_of
from cfgaudit.evidence.records.record import (
    FOLDER,
    NO_EVIDENCE,
    Barred,
    BrokenRecord,
    Evidence,
    MeasurementKind,
    Record,
)
from cfgaudit.evidence.records.tables import UnfitError, read_record
from cfgaudit.kept import kept
from cfgaudit.source import IsFolder, LeadsBack, MissingFile, OutsideRoot, Source, SourceError, TooLarge

SUFFIX = ".toml"
LEADS_OUT = Barred(
    "it is a link that leads out of the main file's folder",
    "put the folder there, or allow what it leads to by name in cfgaudit.toml",
)
LEADS_NOWHERE = Barred("it is a link that leads nowhere", "remove it, or make the folder that it leads to")
LEADS_BACK = Barred("it is a link that leads back to itself", "replace it by a folder")
NO_FOLDER = Barred("it is a file", "give that file another name, records are kept in a folder of this one")
UNLISTED = Barred("this user may not list it", "change its permissions or its owner")
RECORDS_AT_MOST = 10_000
"""Files that are read, the last ones by name, which begins with the date."""
SIZE_AT_MOST = 256 * 1024
"""Bytes. A record is a page of text."""
TOO_LARGE = f"it has more than {SIZE_AT_MOST // 1024} KiB, and a record is a page of text"
CLOCKS_APART = timedelta(days=1)
"""Clocks of small boards, and their time zones, are wrong by hours. Common practice, no source."""
FUTURE = "it is dated in the future: set its date right, or the clock of this computer"
TEXTS_AT_MOST = 4096
"""Records whose tables are remembered in one run: states of one machine share nearly all of them."""

_AT = re.compile(r"^(.*) \(at (?:line (\d+), column \d+|end of document)\)$", re.DOTALL)
_NUMBER = re.compile(r"\.(\d+)\.toml$")

Parsed = Mapping[str, Any] | tuple[int, str]
"""The tables of a file; or the line and the reason where it is no TOML."""


def read_evidence(source: Source, files: Collection[str] = (), now: datetime | None = None) -> Evidence:
    """Every record below the source's root, newest first, and the files in the folder that are none.

    ``files`` are those of the configuration in question, its main file among them: what was measured with
    another main file that is still there, and is none of these, is of another machine. ``now`` is the time,
    with its offset, after which no record can have been taken; without it none is told to be of the future.
    """
    names = source.folder(FOLDER)
    if names is None:
        return Evidence(barred=_barred(source))
    found = list(_without_copies(_read(source, f"{FOLDER}/{name}", now) for name in _wanted(names)))
    if not found:
        return NO_EVIDENCE
    records = [one for one in found if isinstance(one, Record)]
    records.sort(key=_age, reverse=True)
    strange = {one.main for one in records if one.main and files and one.main not in files}
    strange = {main for main in strange if source.is_file(main)}
    return Evidence(
        tuple(one for one in records if one.main not in strange),
        tuple(one for one in found if isinstance(one, BrokenRecord)),
        tuple(one for one in records if one.main in strange),
    )


def _barred(source: Source) -> Barred | None:
    """Why what has the folder's name cannot be looked into; None where nothing has it."""
    try:
        source.read(FOLDER)
    except OutsideRoot:
        return LEADS_OUT
    except MissingFile:
        named = FOLDER in (source.folder("") or ())
        return LEADS_NOWHERE if named else None
    except LeadsBack:
        return LEADS_BACK
    except IsFolder:
        return UNLISTED
    except SourceError as error:
        why, _, remedy = _clause(error, FOLDER).partition(": ")
        return NO_FOLDER if source.is_file(FOLDER) else Barred(why, remedy)
    return NO_FOLDER


def _without_copies(found: Iterable[Record | BrokenRecord]) -> Iterator[Record | BrokenRecord]:
    """A measurement that was copied is no second one: compare would take it for a repetition."""
    seen: dict[Record, str] = {}
    for one in found:
        if isinstance(one, Record):
            first = seen.setdefault(one._replace(file="", line=1), one.file)
            if first != one.file:
                yield BrokenRecord(one.file, 1, f"it is a copy of {first}: delete one of the two")
                continue
        yield one


def _wanted(names: tuple[str, ...]) -> list[str]:
    wanted = [name for name in names if name.endswith(SUFFIX) and not name.startswith(".")]
    return wanted[-RECORDS_AT_MOST:]


def _age(record: Record) -> tuple[object, int, str]:
    """By date; of one moment the one that was written later, whose name has the higher number."""
    number = _NUMBER.search(record.file)
    return record.date, int(number[1]) if number else 1, record.file


def _read(source: Source, file: str, now: datetime | None) -> Record | BrokenRecord:
    try:
        data = source.read(file)
    except TooLarge:
        return BrokenRecord(file, 1, TOO_LARGE)
    except SourceError as error:
        return BrokenRecord(file, 1, _clause(error, file))
    if len(data) > SIZE_AT_MOST:
        return BrokenRecord(file, 1, TOO_LARGE)
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        return BrokenRecord(file, data.count(b"\n", 0, error.start) + 1, "it is not written in UTF-8")
    return _made(file, text, now)


def _made(file: str, text: str, now: datetime | None) -> Record | BrokenRecord:
    parsed = _tables(text)
    if isinstance(parsed, tuple):
        return BrokenRecord(file, *parsed)
    try:
        record = read_record(file, parsed)
    except UnfitError as error:
        return BrokenRecord(file, error.line_in(text), str(error))
    if now is not None and record.date > now + CLOCKS_APART:
        return BrokenRecord(file, line_of(text, "date"), FUTURE)
    if record.kind is MeasurementKind.HOURS:
        return record._replace(line=line_of(text, "result", 0, "value"))
    return record


def _clause(error: SourceError, file: str) -> str:
    """What is wrong with a file, without its name."""
    said = str(error)
    return f"it {said.removeprefix(file).strip()}" if said.startswith(f"{file} ") else said


@lru_cache(maxsize=TEXTS_AT_MOST)
def _tables(text: str) -> Parsed:
    """A file's tables: parsed once in a run, and kept between runs, for a record never changes."""
    try:
        return kept("record", (text,), lambda: _parse(text))
    except RecursionError:
        return 1, "it is no TOML: its values are nested too deeply"
    except ValueError as error:  # of TOML, and of a number with thousands of digits
        found = _AT.match(str(error))
        told = " ".join((found[1] if found else str(error)).split())
        last = text.rstrip("\n").count("\n") + 1
        line = min(int(found[2]), last) if found and found[2] else last if found else 1
        return line, f"it is no TOML: {told[:1].lower()}{told[1:]}"


def _parse(text: str) -> Mapping[str, Any]:
    import tomllib  # rarely needed: tables are kept

    return tomllib.loads(text)
