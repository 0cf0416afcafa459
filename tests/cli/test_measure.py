"""``measure``: the group, and the commands that keep numbers, hours and changes of hardware."""

from __future__ import annotations

import json
import resource
import statistics
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any
from unittest.mock import ANY

import pytest

from cfgaudit.cli.measure import MEASUREMENTS
from cli.conftest import Runs
from cli.measuring import MACHINE, RECORDS, machine, refused
from cli.permission import bound
from cli.program import contents, process, write
from cli.test_help import SAFETY, completed


def kept(here: Path) -> dict[str, Any]:
    """The only record in the folder, as TOML."""
    (file,) = (here / RECORDS).iterdir()
    return tomllib.loads(file.read_text("utf-8"))


@pytest.mark.parametrize("name", ["", *MEASUREMENTS])
def test_help(run: Runs, name: str) -> None:
    for columns in (80, 120):
        ran = run("measure", *name.split(), "--help", columns=columns)
        assert (ran.status, ran.err) == (0, "")
        assert max(map(len, ran.out.splitlines())) <= columns
        assert "..." not in ran.out.replace("]...", "]").replace("}...", "}"), "no sentence is cut"
        told = " ".join(ran.out.split())
        assert all(words in told for words in SAFETY)


def test_every_measurement_is_listed(run: Runs) -> None:
    told = run("measure", "--help", columns=120).out
    lines = told[told.index("Commands:") :].splitlines()[1 : len(MEASUREMENTS) + 1]
    assert dict(line.split(maxsplit=1) for line in lines) == dict(MEASUREMENTS)


def test_without_anything(run: Runs) -> None:
    ran = run("measure")
    assert ran.status == 2
    assert ran.out.startswith("Usage: cfgaudit measure")


def test_a_misspelt_measurement(run: Runs, here: Path) -> None:
    assert "'value'" in refused(run, here, "vaule", "x", "1", "mm")
    assert "did you mean" in run("measure", "resonanse").err.casefold()


def test_completion() -> None:
    assert completed("cfgaudit measure ") == list(MEASUREMENTS)
    assert "--better" in completed("cfgaudit measure value --be")
    assert completed("cfgaudit measure value --better ") == ["higher", "lower"]


def test_a_number(run: Runs, here: Path) -> None:
    machine(here)
    ran = run("measure", "value", "print time", "61.5", "min", "--note", "the vase")
    assert (ran.status, ran.err) == (0, "")
    (file,) = (here / RECORDS).iterdir()
    assert ran.out == f"print time: 61.5 min\n{RECORDS}/{file.name} is written.\n"
    assert file.name.endswith("-value-print-time.toml")
    record = kept(here)
    assert (record["form"], record["kind"], record["part"]) == (1, "value", "print time")
    assert record["result"] == [{"name": "print time", "value": 61.5, "unit": "min"}]
    assert record["note"] == "the vase"
    assert len(record["digest"]) == 64
    assert record["date"].tzinfo is not None
    assert "commit" not in record, "there is no repository"


def test_several_numbers(run: Runs, here: Path) -> None:
    """Mean and sample standard deviation as Python's ``statistics`` has them."""
    machine(here)
    values = [-0.02, 3.5, 1e-3, 12.0]
    ran = run("measure", "value", "shift", *map(str, values), "mm", "--better", "lower")
    assert (ran.status, ran.err) == (0, "")
    (result,) = kept(here)["result"]
    assert result["value"] == pytest.approx(statistics.mean(values))
    assert result["spread"] == pytest.approx(statistics.stdev(values))
    assert (result["samples"], result["better"], result["unit"]) == (4, "lower", "mm")
    assert "mean of 4, standard deviation 5.7" in ran.out


def test_a_number_without_unit_as_json(run: Runs, here: Path) -> None:
    machine(here)
    ran = run("measure", "value", "layers", "12", "1", "--format", "json", "--instrument", "eyes")
    form = json.loads(ran.out)
    assert form.keys() == {
        "schema", "record", "kind", "date", "part", "commit", "digest", "results", "depends", "raw",
        "instrument", "conditions", "note", "affects", "replaced", "main", "chosen",
        "doubts",
    }  # fmt: skip
    assert (form["schema"], form["kind"], form["instrument"]) == (1, "value", "eyes")
    assert (here / form["record"]).is_file()
    assert form["results"] == [
        {"name": "layers", "value": 12.0, "unit": "1", "samples": 1, "spread": None, "better": ""}
    ]


@pytest.mark.parametrize("command", ["value noise 41 dB", "hours belts 3", "hardware rails --affects axis.z"])
def test_a_dry_run_writes_nothing(run: Runs, here: Path, command: str) -> None:
    machine(here)
    before = contents(here)
    ran = run("measure", *command.split(), "--dry-run")
    assert (ran.status, ran.err) == (0, "")
    assert ran.out.endswith("No record is written (--dry-run).\n")
    form = json.loads(run("measure", *command.split(), "--dry-run", "--format", "json").out)
    assert form["record"] is None
    assert contents(here) == before


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["noise"], "Missing argument 'NUMBERS UNIT'"),
        (["noise", "dB"], "a number and its unit are needed: cfgaudit measure value noise 12.5 mm"),
        (["noise", "41"], "a number and its unit are needed: cfgaudit measure value noise 41 mm"),
        (["noise", "41", "42"], '"42" is no unit'),
        (["noise", "41", ""], '"" is no unit'),
        (["noise", "41,5", "dB"], '"41,5" is no number: give numbers with a point for the decimals'),
        (["noise", "nan", "dB"], '"nan" is no number'),
        (["noise", "inf", "dB"], '"inf" is no number'),
        (["noise", "1e999", "dB"], '"1e999" is larger than any number that can be kept'),
        (["noise", "4_1", "dB"], '"4_1" is no number'),
        (["noise", "٤١", "dB"], "is no number"),
        (["noise", "-1.7e308", "1.7e308", "dB"], "too large"),
        (["", "41", "dB"], "the name is empty"),
        ([" . ", "41", "dB"], "the name is empty"),
        (["noise", "41", "dB", "--noet", "x"], "no such option: --noet"),
        (["noise", "41", "dB", "--better", "louder"], "'higher', 'lower'"),
        (["noise", "41", "dB", "--format", "xml"], "'text', 'json'"),
        (["noise", "41", "dB", "--main", "gone.ini"], "gone.ini does not exist"),
    ],
)
def test_bad_numbers(run: Runs, here: Path, arguments: list[str], said: str) -> None:
    machine(here)
    assert said.casefold() in refused(run, here, "value", *arguments).casefold()


def test_another_unit_than_before(run: Runs, here: Path) -> None:
    """What cannot be compared later is refused at once; the same unit in another spelling is not."""
    machine(here)
    run("measure", "value", "push", "3000", "mm/s2")
    assert run("measure", "value", "Push", "3100", "mm/s²").status == 0
    assert "was kept in mm/s² before" in refused(run, here, "value", "push", "3", "m/s2")


def test_hours(run: Runs, here: Path) -> None:
    machine(here)
    write(here, {"cfgaudit.toml": "[hours]\nBelts = 300\n"})
    assert run("measure", "hours", "belts", "280h").out.startswith("belts: 280 h of 300 h.\n")
    assert "beyond its limit" in run("measure", "hours", "belts", "310.5", "--note", "they hum").out
    told = refused(run, here, "hours", "Belts", "300")
    assert "310.5 h already" in told
    assert "--replaced" in told
    ran = run("measure", "hours", "belts", "312", "--replaced")
    assert ran.out.startswith("belts: replaced after 312 h, counting starts again at 0.\n")
    assert run("measure", "hours", "belts", "3").status == 0
    records = [tomllib.loads(path.read_text("utf-8")) for path in sorted((here / RECORDS).iterdir())]
    assert sorted((one["result"][0]["value"], one.get("replaced", False)) for one in records) == [
        (3.0, False),
        (280.0, False),
        (310.5, False),
        (312.0, True),
    ]
    told = run("hours").out
    assert told.startswith("belts  3 h of 300 h, replaced on ")


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["belts"], "missing argument 'hours'"),
        (["belts", "many"], '"many" is no number: give hours such as'),
        (["belts", "-3"], "cannot be"),
        (["belts", "1000000.5"], "give a number from 0 to 1000000"),
        (["belts", "1e999"], "larger than any number"),
        (["", "3"], "the part's name is empty"),
        (["belts", "3", "4"], "unexpected extra argument"),
        (["belts", "3", "--replacd"], "replac"),
    ],
)
def test_bad_hours(run: Runs, here: Path, arguments: list[str], said: str) -> None:
    machine(here)
    assert said in refused(run, here, "hours", *arguments).casefold()


def test_hardware(run: Runs, here: Path) -> None:
    machine(here)
    words = ("New screws", "--affects", "axis.z", "--affects", "heater bed")
    ran = run("measure", "hardware", *words, columns=120)
    assert (ran.status, ran.err) == (0, "")
    assert ran.out.startswith(
        "New screws: what was measured of axis z and heater bed before now no longer holds.\n"
    )
    record = kept(here)
    assert (record["kind"], record["part"], record["affects"]) == (
        "hardware",
        "New screws",
        ["axis.z", "heater bed"],
    )
    assert "result" not in record


MOVING = "\n[motor left]\naxis = x\nfull steps = 200\n[driver left]\nmotor = left\n[fan bay]\npin = PA1\n"


@pytest.mark.parametrize(
    ("affects", "means", "told"),
    [
        ("axis.*", ["axis.*"], "axis x and axis z"),
        ("Axis.X", ["Axis.X"], "axis x"),
        ("motor.left", ["axis x", "belts"], "axis x and belts"),
        ("driver left", ["axis x", "belts"], "axis x and belts"),
        ("motor z", ["axis z", "probe"], "axis z and probe"),
        ("heater.*", ["heater.*"], "heater bed"),
        ("fan.bay", ["fan.bay"], "fan bay"),
        ("noise", ["noise"], "noise"),
        ("*", ["*"], "axis x, axis z, belts, probe, heater bed and noise"),
    ],
)
def test_what_is_affected(run: Runs, here: Path, affects: str, means: list[str], told: str) -> None:
    """A part that cannot be measured by itself stands for what is measured with it."""
    machine(here, MACHINE + MOVING)
    run("measure", "value", "noise", "41", "dB")
    ran = run("measure", "hardware", "new", "--affects", affects, "--format", "json")
    assert (ran.status, ran.err) == (0, "")
    assert json.loads(ran.out)["affects"] == means
    ran = run("measure", "hardware", "new", "--affects", affects, "--dry-run", columns=120)
    assert ran.out.startswith(f"new: what was measured of {told} before now no longer holds.\n")


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["rails"], "missing option '--affects'"),
        (["", "--affects", "axis.z"], "the text is empty: say what was changed"),
        (["rails", "--affects", ""], "--affects is empty: name a part"),
        (["rails", "--affects", " "], "--affects is empty: name a part"),
        (["rails", "--affects", "axis.q"], "no part is called axis.q"),
        (["rails", "--affects", "heter bed"], "did you mean heater bed?"),
        (["rails", "--affects", "axis.z", "--affects", "no such"], "no part is called no such"),
    ],
)
def test_bad_hardware(run: Runs, here: Path, arguments: list[str], said: str) -> None:
    machine(here)
    assert said in refused(run, here, "hardware", *arguments)


def test_the_commit_is_kept(run: Runs, here: Path, git: Callable[..., str]) -> None:
    machine(here)
    git("add", ".")
    git("commit", "--quiet", "--message=first")
    run("measure", "value", "noise", "41", "dB")
    assert kept(here)["commit"] == git("rev-parse", "HEAD").strip()


def test_records_stand_beside_the_main_file(run: Runs, here: Path) -> None:
    write(here, {"printers/big/main.ini": MACHINE})
    ran = run("measure", "value", "noise", "41", "dB", "--main", "printers/big/main.ini")
    assert "printers/big/evidence/" in ran.out
    assert (here / "printers" / "big" / RECORDS).is_dir()
    assert run("measure", "value", "noise", "41", "dB", "--main", "printers/big").status == 0


def test_a_folder_that_may_not_be_written(here: Path) -> None:
    machine(here)
    here.chmod(0o555)
    ran = process("measure", "value", "noise", "41", "dB", cwd=here, preexec_fn=bound())
    here.chmod(0o755)
    assert (ran.status, ran.out) == (2, "")
    assert ran.err.startswith(
        "cfgaudit: evidence cannot be written (Permission denied): check its permissions"
    )
    assert ran.err.count("\n") == 1
    assert not (here / RECORDS).exists()


def test_a_disk_without_room(here: Path) -> None:
    """A limit on the size of files (setrlimit(2)) stops a write in its middle, as a full disk does."""
    machine(here)

    def limit() -> None:
        import signal

        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (100, 100))

    env = {"XDG_CACHE_HOME": str(here / "none"), "HOME": str(here / "none")}
    ran = process("measure", "value", "noise", "41", "dB", cwd=here, preexec_fn=limit, env=env)
    assert (ran.status, ran.out) == (2, "")
    assert ran.err.startswith("cfgaudit: evidence cannot be written (File too large): ")
    assert not (here / RECORDS).exists()


def test_which_way_is_better_is_said_once(run: Runs, here: Path) -> None:
    """The next record says it too, for compare reads each for itself; another unit's or a new word counts."""
    machine(here)

    def keeps(*words: str) -> tuple[str, str]:
        before = {*(here / RECORDS).iterdir()} if (here / RECORDS).exists() else set()
        told = run("measure", "value", *words).out
        (record,) = {*(here / RECORDS).iterdir()} - before
        (result,) = tomllib.loads(record.read_text("utf-8"))["result"]
        return result.get("better", ""), told

    assert keeps("noise", "41", "dB") == ("", ANY)
    assert keeps("noise", "41", "dB", "--better", "lower") == ("lower", ANY)
    for words in (("noise", "40", "dB"), ("Noise", "39", "dB")):
        better, told = keeps(*words)
        assert better == "lower"
        assert f"{words[0]}: {words[1]} dB; lower is better, as on 20" in told
    assert keeps("noise", "40", "dB", "--better", "higher") == ("higher", ANY)
    assert keeps("noise", "40", "dB")[0] == "higher"
    assert keeps("hum", "40", "dB") == ("", ANY)


def test_a_file_as_the_folder(run: Runs, here: Path) -> None:
    machine(here)
    (here / RECORDS).write_text("")
    told = refused(run, here, "value", "noise", "41", "dB")
    assert f"{RECORDS} cannot be read (it is a file): give that file another name" in told
