"""Records against other programs: coreutils for digests, another TOML library, git for commits."""

from __future__ import annotations

import shutil
import subprocess
import tomllib
from datetime import datetime
from pathlib import Path

import pytest
import tomlkit
from evidence.made_records import RECORDS
from hypothesis import given, settings

from cfgaudit.cli.record_keeping import raw_file
from cfgaudit.evidence.records.record import Record
from cfgaudit.evidence.records.write import record_text


@pytest.mark.skipif(shutil.which("sha256sum") is None, reason="GNU coreutils are not here")
@pytest.mark.parametrize("size", [0, 1, 4096, 3_000_001])
def test_the_raw_files_digest(tmp_path: Path, size: int) -> None:
    """``sha256sum`` of GNU coreutils."""
    path = tmp_path / "run of x.csv"
    path.write_bytes(bytes(range(251)) * (size // 251 + 1))
    told = subprocess.run(["sha256sum", "--", path], capture_output=True, text=True, check=True).stdout
    found = raw_file(path)
    assert (found.name, found.sha256) == ("run of x.csv", told.split()[0])


def test_a_digest_that_was_published(tmp_path: Path) -> None:
    """FIPS 180-2, appendix B.1: the message "abc"."""
    (tmp_path / "abc").write_bytes(b"abc")
    published = "ba7816bf 8f01cfea 414140de 5dae2223 b00361a3 96177a9c b410ff61 f20015ad"
    assert raw_file(tmp_path / "abc").sha256 == published.replace(" ", "")


@given(RECORDS)
@settings(max_examples=60)
def test_another_library_reads_what_we_write(record: Record) -> None:
    """tomlkit, which has a parser of its own, and Python's."""
    text = record_text(record)
    plain = tomlkit.parse(text).unwrap()
    assert plain == tomllib.loads(text)
    assert (plain["kind"], plain["part"]) == (record.kind, record.part)
    assert isinstance(plain["date"], datetime)
    assert plain["date"] == record.date
    assert [(one["name"], one["value"]) for one in plain.get("result", [])] == [
        (one.name, one.value) for one in record.results
    ]
