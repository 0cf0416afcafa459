"""Records to files: written whole or not at all, and never over one that exists."""

from __future__ import annotations

import os
import re
import unicodedata
from collections.abc import Iterator
from contextlib import suppress
from itertools import count
from pathlib import Path
from typing import Any

from cfgaudit.evidence.record import FOLDER, FORM, Record, Result

HEADING = "# Written by cfgaudit measure. To correct it, delete the file and measure again.\n\n"
NAME_AT_MOST = 60
"""Letters of a file's name before its number and suffix."""


class EvidenceNotWritten(Exception):  # noqa: N818 - the name says what is wrong
    """A record that cannot be written; one line that says why and what to do. Nothing is left of it."""


def record_text(record: Record) -> str:
    """The record's file."""
    import tomli_w

    return HEADING + tomli_w.dumps(_writable(dict(_tables(record))))


def write_record(root: Path, record: Record) -> str:
    """Write a record into the folder ``evidence`` below ``root``; its path relative to ``root``.

    ``record.file`` is not looked at: the name comes from date, kind and part. Raises EvidenceNotWritten.
    """
    folder = root / FOLDER
    if folder.is_symlink():
        raise EvidenceNotWritten(f"{folder} is a link: records are written only below the main file's folder")
    try:
        folder.mkdir(exist_ok=True)
        data = record_text(record).encode("utf-8")
        for name in file_names(record):
            if _created(folder / name, data):
                return f"{FOLDER}/{name}"
    except OSError as error:
        raise EvidenceNotWritten(
            f"{folder} cannot be written ({error.strerror}): check its permissions and the space on its disk"
        ) from error
    raise AssertionError("names never end")


def file_names(record: Record) -> Iterator[str]:
    """``2026-11-10-resonance-axis-x.toml``, then the same with ``.2``, ``.3`` …"""
    words = re.sub(r"[^\w]+", "-", unicodedata.normalize("NFC", record.part).casefold()).strip("-_")
    stem = f"{record.date.date().isoformat()}-{record.kind}-{words}"[:NAME_AT_MOST].rstrip("-_")
    yield f"{stem}.toml"
    for number in count(2):
        yield f"{stem}.{number}.toml"


def _created(target: Path, data: bytes) -> bool:
    """Whether the file was made; False where one of that name exists. Nobody ever sees half a file."""
    if os.path.lexists(target):
        return False
    draft = target.with_name(f".{target.name}.{os.getpid()}")
    try:
        with open(draft, "xb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        try:
            os.link(draft, target)  # unlike a rename it never replaces
        except FileExistsError:
            return False
    finally:
        with suppress(OSError):
            draft.unlink()
    return True


def _tables(record: Record) -> Iterator[tuple[str, Any]]:
    yield "form", FORM
    yield "kind", str(record.kind)
    yield "part", record.part
    yield "date", record.date.replace(microsecond=0)
    for key in ("commit", "digest", "instrument", "conditions", "note"):
        if text := getattr(record, key):
            yield key, text
    if record.affects:
        yield "affects", list(record.affects)
    if record.replaced:
        yield "replaced", True
    yield "result", [dict(_result(one)) for one in record.results]
    yield "raw", [one._asdict() for one in record.raw]
    yield "setting", [{k: v for k, v in one._asdict().items() if v is not None} for one in record.depends]


def _result(result: Result) -> Iterator[tuple[str, Any]]:
    yield "name", result.name
    yield "value", result.value
    yield "unit", result.unit
    if result.samples != 1:
        yield "samples", result.samples
    if result.spread is not None:
        yield "spread", result.spread
    if result.better:
        yield "better", result.better


def _writable(value: Any) -> Any:
    """The same with texts that UTF-8 can carry: bytes of a configuration that are none are written out."""
    if isinstance(value, str):
        return value.encode("utf-8", "backslashreplace").decode("utf-8")
    if isinstance(value, list):
        return [_writable(one) for one in value]
    if isinstance(value, dict):
        return {key: _writable(one) for key, one in value.items() if one != []}
    return value
