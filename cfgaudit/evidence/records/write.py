"""Records to files: written whole or not at all, and never over one that exists."""

from __future__ import annotations

import errno
import os
import re
import unicodedata
from collections.abc import Iterator, Mapping
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from itertools import count
from math import isfinite
from pathlib import Path
from typing import Any

from cfgaudit.evidence.records.quantities import missing, unfit
from cfgaudit.evidence.records.record import FOLDER, FORM, Record, Result, carried

HEADING = "# Written by cfgaudit measure. To correct it, delete the file and measure again.\n\n"
NAME_AT_MOST = 100
"""Bytes of a file's name before its number and suffix: with these it fits any file system."""
NO_SECOND_NAMES = frozenset({errno.EPERM, errno.ENOTSUP, errno.EOPNOTSUPP, errno.ENOSYS, errno.EMLINK})
"""What file systems say on which a file cannot have two names (memory cards, shares)."""

PERMISSIONS, SPACE = "check its permissions, and those of the folder around it", "make space on its disk"
REMEDIES: Mapping[int | None, str] = {
    errno.EACCES: PERMISSIONS,
    errno.EPERM: PERMISSIONS,
    errno.ENOSPC: SPACE,
    errno.EDQUOT: "make space, this user has no more of its disk",
    errno.EROFS: "mount its disk so that it can be written",
}
ANY_REMEDY = "check its disk"


class EvidenceNotWritten(Exception):  # noqa: N818 - the name says what is wrong
    """A record that cannot be written; one line that says why and what to do. Nothing is left of it."""


def record_text(record: Record) -> str:
    """The record's file. Raises EvidenceNotWritten for a number that no file can hold."""
    import tomli_w

    return HEADING + tomli_w.dumps(_writable(dict(_tables(record))))


def write_record(root: Path, record: Record, *, follow: bool = False) -> str:
    """Write a record into the folder ``evidence`` below ``root``; its path relative to ``root``.

    ``record.file`` is not looked at: the name comes from date, kind and part. ``follow`` says that what reads
    the records follows a link of that name. Raises EvidenceNotWritten.
    """
    folder = root / FOLDER
    data = record_text(record).encode("utf-8")
    if folder.is_symlink() and not follow:
        raise EvidenceNotWritten(
            f"{folder} is a link: replace it by a folder, records are written only there"
        )
    try:
        made = _make_folder(folder)
        try:
            return f"{FOLDER}/{_written(folder, record, data)}"
        except BaseException:
            if made:
                with suppress(OSError):
                    folder.rmdir()
            raise
    except OSError as error:
        raise EvidenceNotWritten(
            f"{folder} cannot be written ({error.strerror}): {REMEDIES.get(error.errno, ANY_REMEDY)}"
        ) from error


def _make_folder(folder: Path) -> bool:
    """Whether the folder was missing; it is there then."""
    try:
        folder.mkdir()
    except FileExistsError:
        if not folder.is_dir():
            raise EvidenceNotWritten(
                f"{folder} is no folder: give that file another name, records are kept there"
            ) from None
        return False
    return True


def _written(folder: Path, record: Record, data: bytes) -> str:
    """The first free name, which the data stands under now. Raises OSError."""
    names = file_names(record)
    draft = folder / f".{os.urandom(8).hex()}"
    try:
        with open(draft, "xb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        return next(name for name in names if _named(draft, folder / name, data))
    finally:
        with suppress(OSError):
            draft.unlink()


def _named(draft: Path, target: Path, data: bytes) -> bool:
    """Give the draft its name; False where one of that name exists. Nobody ever sees half a file."""
    try:
        os.link(draft, target)  # unlike a rename it never replaces
    except FileExistsError:
        return False
    except OSError as error:
        if error.errno not in NO_SECOND_NAMES:
            raise
        return _created(target, data)
    return True


def _created(target: Path, data: bytes) -> bool:
    """As `_named`, where a file cannot have two names: it may be seen while it grows, but it ends whole."""
    try:
        file = open(target, "xb")  # noqa: SIM115 - only that it exists is no failure
    except FileExistsError:
        return False
    try:
        with file:
            file.write(data)
    except BaseException:
        with suppress(OSError):
            target.unlink()
        raise
    return True


def file_names(record: Record) -> Iterator[str]:
    """``2026-11-10-resonance-axis-x.toml``, then the same with ``.2``, ``.3`` …"""
    words = re.sub(r"[^\w]+", "-", unicodedata.normalize("NFC", record.part).casefold()).strip("-_")
    whole = f"{record.date.date().isoformat()}-{record.kind}-{words}".encode()[:NAME_AT_MOST]
    stem = whole.decode("utf-8", "ignore").rstrip("-_")
    yield f"{stem}.toml"
    for number in count(2):
        yield f"{stem}.{number}.toml"


def _tables(record: Record) -> Iterator[tuple[str, Any]]:
    yield "form", FORM
    yield "kind", str(record.kind)
    yield "part", record.part
    yield "date", _date(record.date)
    for key in ("main", "commit", "digest", "instrument", "conditions", "note"):
        if text := getattr(record, key):
            yield key, text
    for key in ("affects", "doubts"):
        if texts := getattr(record, key):
            yield key, list(texts)
    if record.replaced:
        yield "replaced", True
    for one in record.results:
        if (wrong := unfit(record.kind, one)) is not None:
            told = f"{one.name} came to {one.value:g} {one.unit}"
            raise EvidenceNotWritten(f"{told}, and must be {wrong[1]}: measure again")
    if (name := missing(record.kind, record.results)) is not None:
        raise EvidenceNotWritten(f"{name} is missing: measure again")
    if record.unread:
        yield "unread", record.unread
    if settings := len(record.depends) + len(record.chosen):
        yield "settings", settings
    yield "result", [dict(_result(one)) for one in record.results]
    yield "raw", [one._asdict() for one in record.raw]
    yield "setting", [_without_none(one._asdict()) for one in record.depends]
    yield "chosen", [_without_none(one._asdict()) for one in record.chosen]


def _date(date: datetime) -> datetime:
    """To the millisecond, as every TOML reader has it, and with an offset of whole minutes."""
    date = date.replace(microsecond=date.microsecond // 1000 * 1000)
    offset = date.utcoffset()
    return date.astimezone(UTC) if offset is None or offset % timedelta(minutes=1) else date


def _result(result: Result) -> Iterator[tuple[str, Any]]:
    for number in (result.value, result.spread or 0.0):
        if not isfinite(number):
            raise EvidenceNotWritten(f"{result.name} came to {number}, which is no number: measure again")
    yield "name", result.name
    yield "value", float(result.value)
    yield "unit", result.unit
    if result.samples != 1:
        yield "samples", result.samples
    if result.spread is not None:
        yield "spread", float(result.spread)
    if result.better:
        yield "better", result.better


def _without_none(table: Mapping[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in table.items() if value is not None}


def _writable(value: Any) -> Any:
    """The same with texts that UTF-8 can carry, and without empty lists."""
    if isinstance(value, str):
        return carried(value)
    if isinstance(value, list):
        return [_writable(one) for one in value]
    if isinstance(value, dict):
        return {key: _writable(one) for key, one in value.items() if one != []}
    return value
