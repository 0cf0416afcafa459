"""``evidence`` and ``hours``: what was measured, of the files on disk, staged, and at any commit."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import datetime, tzinfo
from pathlib import Path
from typing import Any

import pytest

from cfgaudit.cli import clock
from cfgaudit.evidence.records.read import read_evidence
from cfgaudit.working_tree import WorkingTree
from cli.conftest import Runs
from cli.permission import bound
from cli.program import process, write
from cli.test_bad_input import refuse

MACHINE = """\
[motor x]
axis = x
[driver x]
motor = x
running current = 1.2 A
"""
RESONANCE = """\
form = 1
kind = "resonance"
part = "axis x"
date = 2026-11-08T19:30:00+01:00
commit = "0123456789abcdef0123456789abcdef01234567"
digest = "83b2ed"
instrument = "clip-on sensor"
note = "late"
result = [
    { name = "natural frequency", value = 61.25, unit = "Hz" },
    { name = "damping", value = 0.07, unit = "1", samples = 3, spread = 0.004 },
]
raw = [
    { name = "x.csv", sha256 = "ba7816bf" },
]

[[setting]]
part = "driver x"
role = "current.run"
axis = "x"
value = "1.2 A"
section = "driver x"
setting = "running current"
"""
HOURS = """\
form = 1
kind = "hours"
part = "belts"
date = 2026-11-09T08:00:00+01:00
result = [
    { name = "hours", value = 312, unit = "h" },
]
"""
FILES = {
    "main.ini": MACHINE,
    "evidence/2026-11-08-resonance-axis-x.toml": RESONANCE,
    "evidence/2026-11-09-hours-belts.toml": HOURS,
    "evidence/list.toml": "shelf = 3\n",
}


def ask(run: Runs, *arguments: str) -> Any:
    ran = run(*arguments, "--format", "json")
    assert (ran.status, ran.err) == (0, "")
    return json.loads(ran.out)


def test_nothing_yet(run: Runs, here: Path) -> None:
    write(here, {"main.ini": MACHINE})
    assert run("evidence").out == "Nothing was measured yet: cfgaudit measure --help lists what can be.\n"
    assert run("hours").out.startswith("No hours are kept yet: ")
    assert ask(run, "evidence") == {
        "schema": 1, "main": "main.ini", "records": [], "broken": [], "others": [],
    }  # fmt: skip
    assert ask(run, "hours") == {"schema": 1, "parts": [], "marks": []}


def test_the_list(run: Runs, here: Path) -> None:
    write(here, FILES)
    ran = run("evidence")
    assert (ran.status, ran.err) == (0, "")
    assert ran.out == (
        "2026-11-09  hours of belts\n"
        "    312 h\n"
        "    evidence/2026-11-09-hours-belts.toml\n"
        "\n"
        "2026-11-08  resonance of axis x\n"
        "    natural frequency 61.25 Hz; damping 0.07 (mean of 3, standard deviation\n"
        "    0.004)\n"
        "    evidence/2026-11-08-resonance-axis-x.toml\n"
        "\n"
        "broken  evidence/list.toml:1 is no record: form must be 1: this is no record of\n"
        "    cfgaudit, or one of a newer cfgaudit\n"
        "\n"
        "2 records, and 1 file that is none.\n"
    )


def test_a_stale_one_says_why(run: Runs, here: Path) -> None:
    write(here, {**FILES, "main.ini": MACHINE.replace("1.2 A", "1.4 A")})
    told = run("evidence", "--main", "main.ini").out
    assert "    stale  [driver x] running current was 1.2 A and is 1.4 A now\n" in told
    assert told.endswith("2 records, 1 of them stale, and 1 file that is none.\n")
    shown = run("evidence", "show", "2026-11-08").out
    assert "Stale because of\n  [driver x] running current was 1.2 A and is 1.4 A now\n" in shown
    found = run("check").out
    assert "main.ini\n\n  5:19  note  evidence-stale\n" in found
    assert "resonance of axis x, measured on 2026-11-08, no longer holds" in found


@pytest.mark.parametrize(
    "named",
    [
        "2026-11-08-resonance-axis-x.toml",
        "evidence/2026-11-08-resonance-axis-x.toml",
        "./evidence/2026-11-08-resonance-axis-x.toml",
        "2026-11-08",
        "evidence/2026-11-08",
    ],
)
def test_one_record(run: Runs, here: Path, named: str) -> None:
    write(here, FILES)
    told = run("evidence", "show", named).out
    for text in (
        "resonance of axis x\n",
        "  measured    2026-11-08 19:30 +0100\n",
        "  with        clip-on sensor\n",
        "  note        late\n",
        "  at commit   0123456, which this repository does not have\n",
        "  from        x.csv (SHA-256 ba7816bf)\n",
        "Results\n  natural frequency 61.25 Hz\n",
        "as long as these stay so\n  [driver x] running current = 1.2 A\n",
    ):
        assert text in told


def test_json(run: Runs, here: Path) -> None:
    write(here, {**FILES, "main.ini": MACHINE.replace("1.2 A", "1.4 A")})
    form = ask(run, "evidence")
    assert form.keys() == {"schema", "main", "records", "broken", "others"}
    assert [one["file"] for one in form["records"]] == [
        "evidence/2026-11-09-hours-belts.toml",
        "evidence/2026-11-08-resonance-axis-x.toml",
    ]
    keys = {
        "file", "kind", "date", "part", "commit", "digest", "results", "depends", "raw", "instrument",
        "conditions", "note", "affects", "replaced", "main", "chosen", "doubts", "stale",
        "anew",
    }  # fmt: skip
    assert all(one.keys() == keys for one in form["records"])
    record = form["records"][1]
    assert record["date"] == "2026-11-08T19:30:00+01:00"
    assert record["stale"] == ["[driver x] running current was 1.2 A and is 1.4 A now"]
    assert record["results"][1] == {
        "name": "damping", "value": 0.07, "unit": "1", "samples": 3, "spread": 0.004, "better": "",
    }  # fmt: skip
    assert record["depends"][0]["value"] == "1.2 A"
    assert record["raw"] == [{"name": "x.csv", "sha256": "ba7816bf"}]
    (broken,) = form["broken"]
    assert broken.keys() == {"file", "line", "why"}
    one = ask(run, "evidence", "show", "2026-11-08")
    assert one == {"schema": 1, **record}


def test_hours(run: Runs, here: Path, git: Callable[..., str]) -> None:
    write(here, {"main.ini": MACHINE, "cfgaudit.toml": "[hours]\nBelts = 300\nnozzle = 250\n"})
    write(here, {"evidence/a.toml": HOURS.replace("312", "120").replace("2026", "2025")})
    git("add", ".")
    git("commit", "--quiet", "--message=hours")
    assert run("mark", "-m", "a good vase").status == 0
    assert run("measure", "hours", "belts", "312").status == 0
    told = run("hours").out
    assert told.startswith("belts  312 h of 300 h: beyond its limit (recorded ")
    assert "    120 h at good/" in told
    assert "a good vase" in told
    assert told.endswith("With a limit, but without hours: nozzle (250 h).\n")
    form = ask(run, "hours")
    assert form.keys() == {"schema", "parts", "marks"}
    (part,) = form["parts"]
    assert part.keys() == {"part", "hours", "replaced", "recorded", "record", "limit"}
    assert (part["part"], part["hours"], part["limit"], part["replaced"]) == ("belts", 312.0, 300.0, None)
    assert [one["hours"] for mark in form["marks"] for one in mark["parts"]] == [120.0]
    assert "hours-exceeded" in run("check").out


def test_in_git(run: Runs, here: Path, git: Callable[..., str]) -> None:
    """At a commit the records of that commit count, and the files as they were."""
    write(here, FILES)
    git("add", ".")
    git("commit", "--quiet", "--message=measured")
    later = HOURS.replace("312", "320")
    write(here, {"main.ini": MACHINE.replace("1.2 A", "1.4 A"), "evidence/2026-11-10-new.toml": later})
    (here / "evidence" / "list.toml").unlink()
    git("add", "main.ini")
    assert (len(ask(run, "evidence")["records"]), len(ask(run, "evidence")["broken"])) == (3, 0)
    for option, stale in (
        ("--rev=HEAD", []),
        ("--staged", ["[driver x] running current was 1.2 A and is 1.4 A now"]),
    ):
        form = ask(run, "evidence", option)
        assert [one["stale"] for one in form["records"]] == [[], stale]
        assert [one["file"] for one in form["broken"]] == ["evidence/list.toml"]
        found = {one["rule"] for one in ask(run, "check", option)["findings"]}
        assert "evidence-broken" in found
        assert ("evidence-stale" in found) == bool(stale)
    assert ask(run, "evidence", "show", "2026-11-08", "--staged")["stale"] == stale


def test_bad_input(run: Runs, here: Path) -> None:
    write(here, FILES)
    refuse(run, here, "evidence list", "say cfgaudit evidence")
    refuse(run, here, "evidence show", "show RECORD")
    refuse(run, here, "evidence show nothing", "no record is called nothing", "cfgaudit evidence lists them")
    refuse(run, here, "evidence show 2026", "2 records begin with 2026", "more of the name")
    write(here, {"evidence/2026-11-08-resonance-axis-x.2.toml": RESONANCE.replace("61.25", "60.25")})
    shown = "evidence show 2026-11-08-resonance-axis-x"
    assert "natural frequency 61.25 Hz" in run(*shown.split()).out, "the whole name of one names that one"
    refuse(run, here, shown[:-2], "2 records begin with")
    (here / "evidence/2026-11-08-resonance-axis-x.2.toml").unlink()
    refuse(run, here, "evidence show list.toml", "evidence/list.toml", "is no record")
    refuse(run, here, "evidence --main gone.ini", "gone.ini does not exist")
    refuse(run, here, "hours gone.ini", "gone.ini does not exist")
    refuse(run, here, "evidence --rev HEAD", "no git repository")
    refuse(run, here, "evidence --rev HEAD --staged", "exclude each other")
    write(here, {"cfgaudit.toml": "[hours]\nbelts = -3\n"})
    refuse(run, here, "hours", "cfgaudit.toml:2", "hours above 0")


def test_two_machines_in_one_folder(run: Runs, here: Path) -> None:
    """Each has its own records, though they share the folder and the names of their parts."""
    write(here, {"heron.ini": MACHINE, "gannet.ini": MACHINE, "cfgaudit.toml": "[hours]\nbelts = 300\n"})
    run("measure", "hours", "belts", "312", "--main", "heron.ini")
    assert run("measure", "hours", "belts", "9", "--main", "gannet.ini").status == 0
    (of_heron,) = ask(run, "evidence", "--main", "heron.ini")["records"]
    form = ask(run, "evidence", "--main", "gannet.ini")
    assert form["others"] == [of_heron["file"]]
    assert [one["main"] for one in form["records"]] == ["gannet.ini"]
    assert run("evidence", "--main", "gannet.ini").out.endswith(
        "1 record. Left out: 1 record of heron.ini.\n"
    )
    assert "hours-exceeded" in run("check", "heron.ini").out
    assert "hours-exceeded" not in run("check", "gannet.ini").out
    assert [one["hours"] for one in ask(run, "hours", "gannet.ini")["parts"]] == [9]


def test_which_files_a_record_belongs_to(run: Runs, here: Path, git: Callable[..., str]) -> None:
    """Taken with what is committed, with edits that are not, and with a commit that is gone since."""

    def at_commit() -> str:
        told = run("evidence", "show", "20", columns=120).out
        return next(line for line in told.split("\n") if "at commit" in line).split(maxsplit=2)[2]

    write(here, {"main.ini": MACHINE})
    git("add", ".")
    git("commit", "--quiet", "--message=first")
    name = git("rev-parse", "HEAD")[:7]
    run("measure", "value", "noise", "41", "dB")
    assert at_commit() == name
    (record,) = (here / "evidence").iterdir()
    text = record.read_text()
    record.unlink()
    write(here, {"main.ini": MACHINE.replace("1.2 A", "1.3 A")})
    run("measure", "value", "noise", "41", "dB")
    assert at_commit() == f"{name}, with other settings than that commit has"
    for other in ("0" * 40, "beef123"):
        record.write_text(text.replace(git("rev-parse", "HEAD").strip(), other))
        for path in (here / "evidence").iterdir():
            if path != record:
                path.unlink()
        assert at_commit() == f"{other[:7]}, which this repository does not have"
    record.write_text(text.replace(git("rev-parse", "HEAD").strip(), "HEAD"))
    assert "commit must be the id of a commit" in run("check").out, "a name that moves is none"


def test_another_shaper(run: Runs, here: Path) -> None:
    """It makes no record stale, and is said beside what was computed of the shaper before."""
    shaper = "[shaper x]\nkind = MZV\nfrequency = 61.3 Hz\n"
    chosen = "\n[[chosen]]\npart = 'axis x'\naxis = 'x'\nsection = 'shaper x'\n"
    record = RESONANCE.replace('"damping"', '"remaining vibration"')
    record += f"{chosen}role = 'shaper.kind'\nsetting = 'kind'\nvalue = 'MZV'\n"
    record += f"{chosen}role = 'shaper.frequency'\nsetting = 'frequency'\nvalue = '61.3 Hz'\n"
    write(here, {"main.ini": MACHINE + shaper, "evidence/2026-11-08-resonance-axis-x.toml": record})
    assert [(one["stale"], one["anew"]) for one in ask(run, "evidence")["records"]] == [([], [])]
    write(here, {"main.ini": MACHINE + shaper.replace("61.3", "77")})
    told = run("evidence", columns=120).out
    assert "anew  [shaper x] frequency was 61.3 Hz and is 77 Hz now; remaining vibration is of then\n" in told
    assert told.endswith("1 record.\n")
    assert "evidence-stale" not in run("check").out
    page = run("evidence", "show", "2026", columns=120).out
    assert "Chosen anew since\n  [shaper x] frequency was 61.3 Hz and is 77 Hz now\n" in page
    assert "are about\n  [shaper x] kind = MZV\n  [shaper x] frequency = 61.3 Hz\n" in page


BARRED = {
    "out": "it is a link that leads out of the main file's folder",
    "nowhere": "it is a link that leads nowhere",
    "file": "it is a file",
    "rights": "this user may not list it",
}


@pytest.mark.parametrize("how", BARRED)
def test_a_folder_that_cannot_be_read(
    how: str, here: Path, git: Callable[..., str], tmp_path_factory: pytest.TempPathFactory
) -> None:
    """check says that it holds nothing against anything; whoever asks for the records is told in one line."""
    write(here, {"main.ini": MACHINE})
    git("add", ".")
    git("commit", "-qm", "a machine")
    folder = here / "evidence"
    match how:
        case "out":
            folder.symlink_to(tmp_path_factory.mktemp("elsewhere"))
        case "nowhere":
            folder.symlink_to("gone")
        case "file":
            folder.write_text("")
        case "rights":
            folder.mkdir(0)
    ran = process("check", "--format", "json", cwd=here, preexec_fn=bound())
    (found,) = json.loads(ran.out)["findings"]
    assert (ran.status, found["rule"], found["where"]["file"]) == (0, "evidence-broken", "evidence")
    said = f"this cannot be read ({BARRED[how]}): no measurement is held against anything"
    assert found["message"] == said
    for words in ("evidence", "evidence show 2026", "hours", "measure value noise 41 dB", "compare"):
        ran = process(*words.split(), cwd=here, preexec_fn=bound())
        assert (ran.status, ran.out) == (2, "")
        assert ran.err.startswith(f"cfgaudit: evidence cannot be read ({BARRED[how]}): ")
        assert ran.err.count("\n") == 1


def test_each_command_says_how_it_is_told_the_file(run: Runs, here: Path) -> None:
    """From a folder without a main file."""
    for words, said in (
        ("hours", "cfgaudit hours FILE"),
        ("evidence", "--main FILE"),
        ("measure hours belts 3", "--main FILE"),
    ):
        refuse(run, here, words, f"name the main file, `{said}`")


def test_a_link_inside_the_folder(run: Runs, here: Path) -> None:
    """What evidence reads measure writes to."""
    write(here, {"main.ini": MACHINE, "kept/README": "of the year"})
    (here / "evidence").symlink_to("kept")
    assert run("measure", "value", "noise", "41", "dB").status == 0
    assert [path.suffix for path in (here / "kept").iterdir() if path.name != "README"] == [".toml"]
    assert "noise\n    41 dB\n" in run("evidence").out


def test_a_record_of_the_future(run: Runs, here: Path) -> None:
    """It would be the newest of all for ever."""
    write(here, {**FILES, "evidence/list.toml": HOURS.replace("2026-11-09", "2126-11-09")})
    (found,) = ask(run, "check")["findings"]
    assert (found["rule"], found["where"]["file"], found["where"]["line"]) == (
        "evidence-broken",
        "evidence/list.toml",
        4,
    )
    assert "dated in the future" in found["message"]
    assert ask(run, "hours")["parts"][0]["recorded"].startswith("2026-")


def test_a_clock_of_long_ago(here: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As of a board without a battery: records that lie there were not taken in the future."""

    class LongAgo(datetime):
        @classmethod
        def now(cls, tz: tzinfo | None = None) -> LongAgo:
            return cls(1970, 1, 1, tzinfo=tz)

    monkeypatch.setattr(clock, "datetime", LongAgo)
    assert clock.time_of_reading(here).year == 1970
    (here / "evidence").mkdir()
    assert clock.time_of_reading(here).year >= 2025


@pytest.mark.parametrize(
    ("text", "line", "said"),
    [
        ("[hours]\nbelts = 3\nBelts = 4\n", 3, "Belts and belts are one part"),
        ('[hours]\n"" = 3\n', 2, "needs the part's name"),
        ("[hours]\nbelts = 1e7\n", 2, "above 0 and up to 1000000, not 10000000.0"),
        ("hours = 3\n", 1, "hours must be a table, [hours]"),
        ("[[hours]]\nbelts = 3\n", 1, "hours must be a table, [hours]"),
        ('[hours]\n"a\\nb" = -3\n', 1, "a b must be a number of hours"),
    ],
)
def test_limits_that_cannot_be(run: Runs, here: Path, text: str, line: int, said: str) -> None:
    write(here, {"main.ini": MACHINE, "cfgaudit.toml": text})
    refuse(run, here, "hours", f"cfgaudit.toml:{line}", said)


@pytest.mark.parametrize("limit", ['"many"', "true", "0", "nan", "inf", "[1]"])
def test_bad_limits(run: Runs, here: Path, limit: str) -> None:
    write(here, {"main.ini": MACHINE, "cfgaudit.toml": f"[hours]\nbelts = {limit}\n"})
    refuse(run, here, "check", "cfgaudit.toml:2", "belts must be a number of hours above 0")


def test_what_measure_writes_is_what_evidence_lists(run: Runs, here: Path) -> None:
    write(here, {"main.ini": MACHINE})
    assert run("measure", "value", "caf\u00e9 \U0001f600", "1", "2", "3", "mm").status == 0
    assert run("measure", "hours", "belts", "3").status == 0
    assert run("measure", "hardware", "a\nb", "--affects", "axis.x").status == 0
    assert [one.kind.value for one in read_evidence(WorkingTree(here)).records] == [
        "hardware",
        "hours",
        "value",
    ]
    told = run("evidence").out
    assert "change of hardware: a b\n" in told
    assert "caf\u00e9 \U0001f600\n" in told
    assert told.endswith("3 records.\n")
