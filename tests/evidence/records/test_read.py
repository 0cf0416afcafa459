"""Reading the folder of records: whatever stands there, it is a record or a reason."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import astuple
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.evidence.records.read import (
    FUTURE,
    LEADS_NOWHERE,
    LEADS_OUT,
    NO_FOLDER,
    RECORDS_AT_MOST,
    SIZE_AT_MOST,
    read_evidence,
)
from cfgaudit.evidence.records.record import NO_EVIDENCE, BrokenRecord, Evidence, Record, Result
from cfgaudit.evidence.records.write import record_text
from cfgaudit.kept import keep_in
from cfgaudit.source import SIZE_LIMIT, Memory
from cfgaudit.working_tree import WorkingTree
from evidence.made_records import NOON, RECORDS, a_record

HEAD = 'form = 1\nkind = "value"\npart = "noise"\ndate = 2026-11-10T20:15:00+01:00\n'
WHOLE = HEAD + '[[result]]\nname = "noise"\nvalue = 41.0\nunit = "dB"\n'
RESONANCE = (
    WHOLE.replace("value", "resonance", 1).replace("noise", "natural frequency").replace('"dB"', '"Hz"')
)


def read(files: Mapping[str, str | bytes]) -> Evidence:
    return read_evidence(
        Memory({name: data if isinstance(data, bytes) else data.encode() for name, data in files.items()})
    )


def broken(text: str | bytes) -> BrokenRecord:
    """Why a file is no record."""
    found = read({"evidence/a.toml": text})
    assert not found.records
    (one,) = found.broken
    assert one.file == "evidence/a.toml"
    lines = (text.encode() if isinstance(text, str) else text).count(b"\n") + 1
    assert 1 <= one.line <= lines
    assert one.why
    return one


@given(st.binary(max_size=200))
def test_any_bytes(data: bytes) -> None:
    broken(data)


PIECES = st.sampled_from(
    [
        *"form kind part date result raw setting affects replaced doubts".split(),
        *"name value unit samples spread better".split(),
        *"= . , [ ] [[ ]] { } \" ' \"\"\" 1 1.0 1e999 nan inf true -1 'value' 'hours' #".split(),
        *("2026-11-10T20:15:00+01:00", "2026-11-10", "\n"),
    ]
)
"""What records are made of."""


@given(st.lists(PIECES, max_size=30).map(" ".join))
@settings(max_examples=200)
def test_any_words_of_a_record(text: str) -> None:
    for whole in (text, HEAD + text):
        found = read({"evidence/a.toml": whole})
        assert len(found.records) + len(found.broken) == 1


@given(RECORDS, st.data())
@settings(max_examples=60)
def test_a_record_cut_off_anywhere(record: Record, data: st.DataObject) -> None:
    """It is the whole record, or told; never half of one taken for less than was measured."""
    whole = record_text(record).encode()
    cut = whole[: data.draw(st.integers(0, len(whole)))]
    found = read({"evidence/a.toml": cut})
    assert len(found.records) + len(found.broken) == 1
    for one in found.records:
        assert (one.depends, one.chosen) == (record.depends, record.chosen)


HOURS = 'result = [ { name = "hours", value = 312, unit = "h" } ]\n'
RESULT = 'result = [\n    { name = "a", value = 1, unit = "" },\n    { name = "b", WRONG },\n]\n'
SECTION = '[[result]]\nname = "a"\nvalue = 1\n\n[[result]]\nname = "b"\nWRONG\n'


@pytest.mark.parametrize(
    ("text", "line", "why"),
    [
        ("", 1, "form must be 1"),
        ('a = "b"\n', 1, "form must be 1"),
        ('# a\nform = 2\nkind = "value"\n', 2, "one of a newer cfgaudit"),
        ("form = true\n", 1, "form must be 1"),
        ("form = 1.0\n", 1, "form must be 1"),
        ('form = 1\nkind = "colour"\n', 2, "kind must be one of resonance, belts"),
        ("form = 1\nkind = [1]\n", 2, "kind must be one of"),
        ('form = 1\nkind = "value"\ndate = 2026-11-10\n', 3, "date must be a date and time with its offset"),
        ('form = 1\nkind = "value"\ndate = 2026-11-10T08:00:00\n', 3, "with its offset"),
        ('form = 1\nkind = "value"\n', 1, "date must be"),
        (HEAD.replace('"noise"', '" "'), 3, "part must be a text"),
        (HEAD + "note = 3\n", 5, "note must be a text"),
        (HEAD + 'replaced = "yes"\n', 5, "replaced must be true or false"),
        (HEAD + "result = 3\n", 5, "result must be a list"),
        (HEAD + "affects = [1]\n", 5, "affects must be a list of texts"),
        (HEAD + 'doubts = ["it clips", ""]\n', 5, "doubts must be a list of texts"),
        (HEAD + RESULT.replace("WRONG", 'value = "2"'), 7, "value must be a finite number"),
        (HEAD + RESULT.replace("WRONG", "value = nan"), 7, "value must be a finite number"),
        (HEAD + RESULT.replace("WRONG", "value = 1e999"), 7, "value must be a finite number"),
        (HEAD + RESULT.replace("WRONG", f"value = 1{'0' * 400}"), 7, "value must be a finite number"),
        (HEAD + RESULT.replace("WRONG", "value = true"), 7, "value must be a finite number"),
        (HEAD + RESULT.replace("WRONG", "value = 1, samples = 0"), 7, "samples must be a whole number"),
        (HEAD + SECTION.replace("WRONG", "value = 1\nsamples = 1.5"), 12, "samples must be a whole number"),
        (HEAD + SECTION.replace("WRONG", "value = 1\nspread = -1"), 12, "spread must be a finite number"),
        (HEAD + SECTION.replace("WRONG", 'value = 1\nbetter = "up"'), 12, "better must be higher or lower"),
        (HEAD + SECTION.replace("WRONG", ""), 9, "value must be a finite number"),
        (HEAD + '[[setting]]\npart = "motor x"\n', 5, "setting must be a table with part, role"),
        (HEAD + '[[raw]]\nname = "a.csv"\n', 5, "raw must be a table with name and sha256"),
        (HEAD.replace("value", "hours"), 1, 'result must be a list with "hours", from 0 to'),
        (HEAD.replace("value", "hours") + '[[result]]\nname = "hours"\nvalue = 3', 5, "from 0 to 1000000"),
        (HEAD.replace("value", "hours") + HOURS.replace("312", "-1"), 5, "from 0 to 1000000"),
        (HEAD.replace("value", "hours") + HOURS.replace("312", "1e9"), 5, "from 0 to 1000000"),
        (HEAD.replace("value", "hours") + HOURS.replace('"h"', '"min"'), 5, 'from 0 to 1000000 "h"'),
        (HEAD + "main = 3\n", 5, "main must be a text"),
        (WHOLE + "[[chosen]]\n", 9, "setting must be a table"),
        (
            "settings = 2\n" + WHOLE,
            1,
            "settings must be how many [[setting]] and [[chosen]] follow, and 0 do",
        ),
        (HEAD, 1, "result must be a list of what was measured, with one at least"),
        (HEAD + 'commit = "zzz"\n', 5, "commit must be the id of a commit"),
        (RESONANCE.replace("41.0", "-41.0"), 7, "natural frequency must be above 0 Hz"),
        (RESONANCE.replace("41.0", "0"), 7, "natural frequency must be above 0 Hz"),
        (RESONANCE.replace("41.0", "1e300"), 7, "natural frequency must be at most 10000 Hz"),
        (RESONANCE.replace('"Hz"', '"kg"'), 8, 'natural frequency must be in "Hz"'),
        (
            RESONANCE.replace("frequency", "frequency 2").replace("41.0", "-1"),
            7,
            "natural frequency 2 must be",
        ),
        (
            RESONANCE.replace("frequency", "frequency 2"),
            5,
            "natural frequency is missing",
        ),
        (
            HEAD.replace("value", "belts") + '[[result]]\nname = "peak A"\nvalue = 61\n',
            5,
            "likeness is missing",
        ),
        (
            HEAD.replace("value", "heatup") + '[[result]]\nname = "gain"\nvalue = 61\n',
            5,
            "time constant is missing",
        ),
        (HEAD + "chosen = 3\n", 5, "chosen must be a list"),
        (HEAD + 'note = "cut', 5, "it is no TOML: "),
        (HEAD + "note = 1\nnote = 2\n", 6, "it is no TOML: cannot overwrite a value"),
        ("x = " + "[" * 5000, 1, "nested too deeply"),
        ("x = 1" + "0" * 5000, 1, "it is no TOML"),
        (b"form = 1\nnote = '\xe9'\n", 2, "it is not written in UTF-8"),
        (b"\xff\xfe\x00\x00", 1, "it is not written in UTF-8"),
    ],
)
def test_what_is_wrong_is_said_with_its_line(text: str | bytes, line: int, why: str) -> None:
    one = broken(text)
    assert one.line == line
    assert why in one.why
    assert "\n" not in one.why


def test_what_a_doubtful_record_may_lack() -> None:
    """Of belts whose peaks crossed nobody knows which one is tighter."""
    text = HEAD.replace("value", "belts") + 'doubts = ["the peaks crossed"]\n'
    found = read({"evidence/a.toml": text + '[[result]]\nname = "likeness"\nvalue = 61.2\nunit = "%"\n'})
    assert (found.broken, len(found.records)) == ((), 1)


def test_a_byte_order_mark_is_nothing(tmp_path: Path) -> None:
    assert read({"evidence/a.toml": b"\xef\xbb\xbf" + WHOLE.encode()}).records


def test_what_a_later_program_may_add_is_left_alone() -> None:
    found = read({"evidence/a.toml": HEAD + 'room = "cold"\n[[result]]\nname = "a"\nvalue = 1\nmode = 2\n'})
    assert [one.part for one in found.records] == ["noise"]


def test_only_toml_files_of_the_folder_itself_count() -> None:
    files = ["raw.csv", ".draft.toml", "sub/a.toml", "README.md", "a.toml~"]
    assert astuple(read({f"evidence/{name}": HEAD for name in files})) == astuple(NO_EVIDENCE)
    assert astuple(read({"other/a.toml": HEAD})) == astuple(NO_EVIDENCE)


def test_the_newest_first() -> None:
    """By date whatever the offset and the name; of one moment the one that was written later."""
    dates = {
        "a.toml": NOON,
        "b.toml": (NOON + timedelta(minutes=1)).astimezone(UTC),
        "c.toml": NOON - timedelta(days=1),
        "a.2.toml": NOON,
        "a.10.toml": NOON,
    }
    texts = {name: record_text(a_record(date=date, note=name)) for name, date in dates.items()}
    found = read({f"evidence/{name}": text for name, text in texts.items()})
    assert [one.file.removeprefix("evidence/") for one in found.records] == [
        "b.toml",
        "a.10.toml",
        "a.2.toml",
        "a.toml",
        "c.toml",
    ]


@pytest.mark.parametrize("date", [datetime.min, datetime.max])
def test_the_ends_of_time(date: datetime) -> None:
    """A date that no moment in UTC belongs to."""
    for offset in ("+23:59", "-23:59"):
        text = WHOLE.replace(
            "2026-11-10T20:15:00+01:00", f"{date.replace(microsecond=0).isoformat()}{offset}"
        )
        assert len(read({"evidence/a.toml": text, "evidence/b.toml": WHOLE}).records) == 2


def test_very_large_files_and_very_many() -> None:
    large = HEAD + "#" * SIZE_AT_MOST
    assert broken(large).why == "it has more than 256 KiB, and a record is a page of text"
    assert broken(large * 70).why == broken(large).why
    names = {f"evidence/{number:06}.toml": "x" for number in range(RECORDS_AT_MOST + 5)}
    found = read(names)
    assert len(found.broken) == RECORDS_AT_MOST
    assert found.broken[-1].file == "evidence/010004.toml", "the newest are read"


def test_links(tmp_path: Path) -> None:
    """One that stays below the main file's folder is followed, others are told."""
    root = tmp_path / "machine"
    (root / "evidence").mkdir(parents=True)
    (root / "kept.toml").write_text(WHOLE)
    (tmp_path / "outside.toml").write_text(WHOLE)
    (root / "evidence" / "in.toml").symlink_to(root / "kept.toml")
    (root / "evidence" / "out.toml").symlink_to(tmp_path / "outside.toml")
    (root / "evidence" / "loop.toml").symlink_to("loop.toml")
    (root / "evidence" / "gone.toml").symlink_to("nothing.toml")
    os.mkfifo(root / "evidence" / "pipe.toml")
    found = read_evidence(WorkingTree(root))
    assert [one.file for one in found.records] == ["evidence/in.toml"]
    assert {one.file.removeprefix("evidence/"): one.line for one in found.broken} == {
        "gone.toml": 1,
        "loop.toml": 1,
        "out.toml": 1,
        "pipe.toml": 1,
    }
    assert not any(one.why.startswith("evidence/") for one in found.broken), "the file is named once"


def test_a_copy_is_no_second_measurement() -> None:
    """Whatever its layout. What was measured twice in one moment has two recordings or other results."""
    one = record_text(a_record(results=(Result("noise", 41.0, "dB"),)))
    files = {"a.toml": one, "b.toml": f"# kept\n{one}", "c.toml": one.replace("41.0", "42.0")}
    found = read({f"evidence/{name}": text for name, text in files.items()})
    assert [one.file for one in found.records] == ["evidence/c.toml", "evidence/a.toml"]
    assert [(one.file, one.why) for one in found.broken] == [
        ("evidence/b.toml", "it is a copy of evidence/a.toml: delete one of the two")
    ]


def test_a_folder_that_cannot_be_looked_into_is_told(tmp_path: Path) -> None:
    """A link that leads out or nowhere hides every record, and so does a file; no folder is no fault."""
    root = tmp_path / "machine"
    root.mkdir()
    assert astuple(read_evidence(WorkingTree(root))) == astuple(NO_EVIDENCE)
    assert astuple(read({"evidence": HEAD})) == astuple(Evidence(barred=NO_FOLDER))
    assert astuple(read({"evidence": b"\0" * (SIZE_LIMIT + 1)})) == astuple(Evidence(barred=NO_FOLDER))
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "elsewhere" / "a.toml").write_text(WHOLE)
    (root / "evidence").symlink_to(tmp_path / "elsewhere")
    assert astuple(read_evidence(WorkingTree(root))) == astuple(Evidence(barred=LEADS_OUT))
    assert len(read_evidence(WorkingTree(root, ("../elsewhere",))).records) == 1
    (root / "evidence").unlink()
    (root / "evidence").symlink_to("gone")
    assert astuple(read_evidence(WorkingTree(root))) == astuple(Evidence(barred=LEADS_NOWHERE))
    (root / "gone").symlink_to("evidence")
    loop = read_evidence(WorkingTree(root)).barred
    assert loop == ("it is a link that leads back to itself", "replace it by a folder")
    (root / "gone").unlink()
    (root / "gone").mkdir()
    (root / "gone" / "a.toml").write_text(WHOLE)
    assert len(read_evidence(WorkingTree(root)).records) == 1, "a link inside the folder is followed"


@pytest.mark.parametrize(
    ("ahead", "counts"), [(0, True), (23, True), (24, True), (25, False), (876_000, False)]
)
def test_no_measurement_is_of_the_future(ahead: int, counts: bool) -> None:
    """Clocks are wrong by hours, and the date of what was measured then is not; by hours ahead."""
    text = record_text(a_record(date=(NOON + timedelta(hours=ahead)).astimezone(UTC)))
    source = Memory({"evidence/a.toml": text.encode()})
    found = read_evidence(source, now=NOON)
    assert bool(found.records) is counts
    line = next(number for number, line in enumerate(text.splitlines(), 1) if line.startswith("date"))
    told = [] if counts else [BrokenRecord("evidence/a.toml", line, FUTURE)]
    assert list(found.broken) == told
    assert read_evidence(source).records, "who tells no time is told nothing of it"


def test_several_machines_in_one_folder() -> None:
    """What was measured with another main file is another machine's, as long as that is there."""
    files = {
        "heron.ini": "[axis x]\n",
        "gannet.ini": "[axis x]\n",
        "part.ini": "[axis y]\n",
        **{
            f"evidence/{number}.toml": record_text(a_record(main=main, note=str(number)))
            for number, main in enumerate(
                ("heron.ini", "gannet.ini", "part.ini", "renamed.ini", "", "../x.ini")
            )
        },
    }
    source = Memory({name: text.encode() for name, text in files.items()})
    found = read_evidence(source, ("heron.ini", "part.ini"))
    assert sorted(one.main for one in found.records) == [
        "",
        "../x.ini",
        "heron.ini",
        "part.ini",
        "renamed.ini",
    ]
    assert [one.main for one in found.others] == ["gannet.ini"]
    assert len(read_evidence(source).records) == 6


def test_only_tables_are_kept_between_runs(tmp_path: Path) -> None:
    """What is wrong with a file is in our own words, which a later program may say better."""
    keep_in(tmp_path)
    try:
        for text, files in (("form = 1 and more", 0), (HEAD + "note = 'kept'\n", 1)):
            read({"evidence/a.toml": text})
            assert len(list(tmp_path.iterdir())) == files
    finally:
        keep_in(None)
