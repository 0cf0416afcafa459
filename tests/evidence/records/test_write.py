"""Records are written whole or not at all, never over another, and read back as they were."""

from __future__ import annotations

import builtins
import errno
import itertools
import os
import subprocess
from collections.abc import Callable
from datetime import datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import pytest
from cli.program import PROGRAM, contents, environment
from hypothesis import given, settings

from cfgaudit.evidence.records.read import read_evidence
from cfgaudit.evidence.records.record import FOLDER, MeasurementKind, Record, Result
from cfgaudit.evidence.records.write import EvidenceNotWritten, file_names, record_text, write_record
from cfgaudit.source import Memory
from cfgaudit.working_tree import WorkingTree
from evidence.made_records import RAGGED, RECORDS, a_record


def read_back(record: Record) -> Record:
    """What the record's file says."""
    found = read_evidence(Memory({"evidence/one.toml": record_text(record).encode()}))
    assert not found.broken
    return found.records[0]._replace(file=record.file)


@given(RECORDS)
def test_what_is_written_is_read(record: Record) -> None:
    assert read_back(record) == record


@given(RAGGED, RAGGED)
@settings(max_examples=50)
def test_bytes_that_are_no_utf_8_are_written_out(note: str, unit: str) -> None:
    """Escaped as Python's ``backslashreplace`` does it; all else stays."""
    record = a_record(note=note, results=(Result("a", 1.0, unit),))
    back = read_back(record)
    assert back.note == note.encode("utf-8", "backslashreplace").decode()
    assert back.results[0].unit == unit.encode("utf-8", "backslashreplace").decode()


def test_hours_say_on_which_line_they_stand() -> None:
    record = a_record(MeasurementKind.HOURS, "belts", results=(Result("hours", 312.0, "h"),))
    line = record_text(record).splitlines().index('    { name = "hours", value = 312.0, unit = "h" },') + 1
    assert read_back(record) == record._replace(line=line)


def test_an_offset_with_seconds_becomes_utc() -> None:
    """TOML has offsets of whole minutes (TOML 1.0.0, RFC 3339); old local times had others."""
    date = datetime(1890, 1, 1, tzinfo=timezone(timedelta(minutes=53, seconds=28)))
    assert read_back(a_record(date=date)).date == date


@pytest.mark.parametrize("number", [float("nan"), float("inf")])
def test_what_is_no_number_is_not_written(tmp_path: Path, number: float) -> None:
    for result in (Result("damping", number, "1"), Result("damping", 1.0, "1", 2, number)):
        with pytest.raises(EvidenceNotWritten, match="damping came to"):
            write_record(tmp_path, a_record(results=(result,)))
    assert contents(tmp_path) == {}


def test_a_record_is_never_replaced(tmp_path: Path) -> None:
    names = [write_record(tmp_path, a_record(note=str(number))) for number in range(4)]
    stem = "evidence/2026-11-10-value-print-time"
    assert names == [f"{stem}.toml", f"{stem}.2.toml", f"{stem}.3.toml", f"{stem}.4.toml"]
    assert [one.note for one in read_evidence(WorkingTree(tmp_path)).records] == ["3", "2", "1", "0"]
    assert {*contents(tmp_path)} == {FOLDER, *names}


def test_a_link_of_that_name_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / FOLDER).mkdir()
    link = tmp_path / "evidence/2026-11-10-value-print-time.toml"
    link.symlink_to(tmp_path / "elsewhere.toml")
    assert write_record(tmp_path, a_record()).endswith(".2.toml")
    assert link.is_symlink()
    assert not (tmp_path / "elsewhere.toml").exists()


def test_a_link_as_the_folder_is_refused(tmp_path: Path) -> None:
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "root").mkdir()
    (tmp_path / "root" / FOLDER).symlink_to(tmp_path / "elsewhere")
    with pytest.raises(EvidenceNotWritten, match="is a link: replace it by a folder"):
        write_record(tmp_path / "root", a_record())
    assert not any((tmp_path / "elsewhere").iterdir())
    write_record(tmp_path / "root", a_record(), follow=True)
    assert len(list((tmp_path / "elsewhere").iterdir())) == 1


def test_a_file_as_the_folder_is_refused(tmp_path: Path) -> None:
    (tmp_path / FOLDER).write_text("")
    with pytest.raises(EvidenceNotWritten, match="is no folder"):
        write_record(tmp_path, a_record())


@pytest.mark.parametrize(
    "part",
    ["belt X / left", "  ", "..", "../../etc", "a\0b", "\udce9", "Längs" * 80, "機" * 200, "e\u0301", "con"],
)
def test_any_part_makes_a_name(tmp_path: Path, part: str) -> None:
    """One that POSIX's ``NAME_MAX`` of 255 bytes allows, and that leads nowhere else."""
    file = write_record(tmp_path, a_record(part=part or "x"))
    folder, _, name = file.rpartition("/")
    assert folder == FOLDER
    assert len(os.fsencode(name)) < 200
    assert (tmp_path / FOLDER / name).is_file()
    assert not name.startswith(".")


def test_names_go_on() -> None:
    names = list(itertools.islice(file_names(a_record(part="Belt X")), 3))
    assert names == [f"2026-11-10-value-belt-x{number}.toml" for number in ("", ".2", ".3")]


def failing(number: int) -> Callable[..., Any]:
    """A call of the system that fails."""

    def fail(*_: object, **__: object) -> None:
        raise OSError(number, os.strerror(number))

    return fail


@pytest.mark.parametrize(
    ("place", "call"), [(os, "fsync"), (os, "link"), (builtins, "open"), (os, "urandom")]
)
@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EROFS, errno.EIO, errno.EDQUOT])
@pytest.mark.parametrize("folder", [False, True])
def test_a_failure_leaves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, place: object, call: str, number: int, folder: bool
) -> None:
    if folder:
        write_record(tmp_path, a_record())
    before = contents(tmp_path)
    with monkeypatch.context() as patch:
        patch.setattr(place, call, failing(number))
        with pytest.raises(EvidenceNotWritten) as told:
            write_record(tmp_path, a_record())
    assert os.strerror(number) in str(told.value)
    assert ("space" in str(told.value)) == (number in (errno.ENOSPC, errno.EDQUOT)), "only what helps is said"
    assert "permissions" not in str(told.value)
    assert "\n" not in str(told.value)
    assert contents(tmp_path) == before


def test_an_interruption_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupt(_: int) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", interrupt)
    with pytest.raises(KeyboardInterrupt):
        write_record(tmp_path, a_record())
    assert contents(tmp_path) == {}


class Halting:
    """A file on a disk that gets full."""

    def __init__(self, path: Path) -> None:
        self._file = os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL), "wb")

    def __enter__(self) -> Halting:
        return self

    def __exit__(self, *_: object) -> None:
        self._file.close()

    def write(self, data: bytes) -> None:
        self._file.write(data[: len(data) // 2])
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


@pytest.mark.parametrize("number", [errno.EPERM, errno.ENOTSUP])
def test_where_a_file_cannot_have_two_names(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    """As on memory cards (FAT), where link(2) fails with EPERM."""
    monkeypatch.setattr(os, "link", failing(number))
    names = [write_record(tmp_path, a_record()) for _ in range(2)]
    assert names[1].endswith(".2.toml")
    assert {*contents(tmp_path)} == {FOLDER, *names}
    before = contents(tmp_path)
    real = builtins.open
    monkeypatch.setattr(
        builtins, "open", lambda path, mode: Halting(path) if path.suffix == ".toml" else real(path, mode)
    )
    with pytest.raises(EvidenceNotWritten, match="space"):
        write_record(tmp_path, a_record())
    assert contents(tmp_path) == before


def test_many_at_once(tmp_path: Path) -> None:
    """Writers that know nothing of one another: every record is there, whole."""
    from concurrent.futures import ThreadPoolExecutor

    with ThreadPoolExecutor(8) as pool:
        names = list(pool.map(lambda number: write_record(tmp_path, a_record(note=str(number))), range(40)))
    assert len(set(names)) == 40
    found = read_evidence(WorkingTree(tmp_path))
    assert sorted(int(one.note) for one in found.records) == list(range(40))
    assert not found.broken


def test_two_processes_at_once(tmp_path: Path) -> None:
    """Neither waits for the other, and the folder is there for neither: both keep what they measured."""
    (tmp_path / "main.ini").write_text("[axis x]\ntop speed = 300 mm/s\n")
    command = [*PROGRAM, "measure", "value", "noise"]
    running = [
        subprocess.Popen(
            [*command, str(number), "dB"], cwd=tmp_path, env=environment(), stdout=subprocess.PIPE
        )
        for number in range(4)
    ]
    assert all(b"is written." in one.communicate()[0] for one in running)
    found = read_evidence(WorkingTree(tmp_path))
    assert sorted(one.results[0].value for one in found.records) == [0, 1, 2, 3]
    assert not found.broken
    assert len(list((tmp_path / FOLDER).iterdir())) == 4, "no draft is left"
