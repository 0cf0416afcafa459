"""The JSON reports: the keys that other programs rely on, and values counted by hand in a small machine."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from cli.conftest import Runs
from cli.program import write

MAIN = """\
; the small one
%include parts/heat.ini
%include parts/fans.ini
%include parts/gone.ini

[board main]
chip = LPC1768

[names plugs]
headPlug = P2.4

[probe]
input = P1.27

[endstop z]
input = probe.contact

;~ [heater bed]
;~ highest temp = 105
"""
HEAT = """\
[heater bed]
heat pin = P2.7
thermistor pin = P0.23
lowest temp = 5
highest temp = 110
swagger = 3
"""
FANS = """\
[fan left]
pin = headPlug

[fan right]
  pin = P2.4
"""
PLACE = {"file", "line", "column", "end_line", "end_column"}


@pytest.fixture
def machine(here: Path) -> Path:
    return write(here, {"m/main.ini": MAIN, "m/parts/heat.ini": HEAT, "m/parts/fans.ini": FANS})


def ask(run: Runs, line: str) -> Any:
    """The JSON that a command gives when it is called from above the machine's folder."""
    ran = run(*line.split(), "m", "--format", "json")
    assert ran.err == ""
    return json.loads(ran.out)


def place(file: str, line: int, column: int, end_column: int) -> dict[str, object]:
    return {"file": file, "line": line, "column": column, "end_line": line, "end_column": end_column}


def places(form: Any) -> list[dict[str, Any]]:
    """Everything in a report that has a place's keys."""
    if isinstance(form, dict):
        return [form] if form.keys() == PLACE else [one for value in form.values() for one in places(value)]
    return [one for value in form for one in places(value)] if isinstance(form, list) else []


@pytest.mark.usefixtures("machine")
@pytest.mark.parametrize("command", ["check", "tree", "roles", "facts", "pins", "where bed"])
def test_every_report(run: Runs, command: str) -> None:
    """The schema's version; every place in a file of the machine, seen from its folder, and within it."""
    form = ask(run, command)
    assert form["schema"] == 1
    texts = {"main.ini": MAIN, "parts/heat.ini": HEAT, "parts/fans.ini": FANS}
    found = places(form)
    assert found or command == "roles"
    for one in found:
        lines = texts[one["file"]].splitlines()
        assert 1 <= one["line"] <= one["end_line"] <= len(lines)
        assert 1 <= one["column"] <= len(lines[one["line"] - 1]) + 1
        assert (one["line"], one["column"]) <= (one["end_line"], one["end_column"])


@pytest.mark.usefixtures("machine")
def test_check(run: Runs) -> None:
    form = ask(run, "check")
    assert form.keys() == {"schema", "main", "files", "findings", "skipped", "counts"}
    assert form["main"] == "main.ini"
    assert form["files"] == ["main.ini", "parts/heat.ini", "parts/fans.ini"]
    for one in form["findings"]:
        assert one.keys() == {
            "rule", "severity", "concern", "message", "where", "related", "advice", "fingerprint", "known",
        }  # fmt: skip
        assert one["where"].keys() == PLACE
        assert all(other.keys() == PLACE for other in one["related"])
        assert one["known"] is False
    by_rule = {one["rule"]: one for one in form["findings"]}
    assert by_rule["include-missing"]["where"] == place("main.ini", 4, 10, 24)
    shared = by_rule["pin-shared"]
    assert (shared["severity"], shared["concern"]) == ("error", "wiring")
    assert place("parts/fans.ini", 5, 9, 13) in (shared["where"], *shared["related"])
    assert form["counts"].keys() == {"danger", "error", "warning", "note"}
    assert sum(form["counts"].values()) == len(form["findings"])
    for one in form["skipped"]:
        assert one.keys() == {"rule", "reason"}
    assert len({one["fingerprint"] for one in form["findings"]}) == len(form["findings"])


@pytest.mark.usefixtures("machine")
def test_roles(run: Runs) -> None:
    form = ask(run, "roles")
    assert form.keys() == {"schema", "dialect", "settings", "unknown"}
    keys = {"file", "line", "section", "setting", "value", "parts", "role", "axis", "because"}
    assert all(one.keys() == keys for one in [*form["settings"], *form["unknown"]])
    hottest = next(one for one in form["settings"] if one["setting"] == "highest temp")
    assert {key: hottest[key] for key in ("file", "line", "section", "value", "parts", "role")} == {
        "file": "main.ini",
        "line": 19,
        "section": "heater bed",
        "value": "105",
        "parts": [["heater", "bed"]],
        "role": "temp.max",
    }
    assert [one["setting"] for one in form["unknown"]] == ["swagger"]
    assert form["unknown"][0]["role"] is None
    assert form["dialect"]["comments"] == [";"]


@pytest.mark.usefixtures("machine")
def test_tree(run: Runs) -> None:
    form = ask(run, "tree")
    assert form.keys() == {"schema", "main", "files", "settings"}
    assert form["main"] == "main.ini"
    assert form["files"] == [
        {"path": "main.ini", "included_by": [], "sections": 5, "settings": 5},
        {"path": "parts/heat.ini", "included_by": ["main.ini"], "sections": 1, "settings": 5},
        {"path": "parts/fans.ini", "included_by": ["main.ini"], "sections": 2, "settings": 2},
    ]
    keys = {"section", "setting", "value", "where", "shadows", "written_by"}
    assert all(one.keys() == keys for one in form["settings"])
    hottest = next(one for one in form["settings"] if one["setting"] == "highest temp")
    assert hottest == {
        "section": "heater bed",
        "setting": "highest temp",
        "value": "105",
        "where": place("main.ini", 19, 19, 22),
        "shadows": [{"value": "110", "where": place("parts/heat.ini", 5, 16, 19), "written_by": "hand"}],
        "written_by": "machine",
    }


@pytest.mark.usefixtures("machine")
def test_pins(run: Runs) -> None:
    form = ask(run, "pins")
    assert form.keys() == {"schema", "boards", "virtual"}
    assert form["boards"].keys() == {"main"}
    pins = form["boards"]["main"]
    assert list(pins) == ["P0.23", "P1.27", "P2.4", "P2.7"]
    assert [(use["part"], use["role"], use["alias"], use["value"]) for use in pins["P2.4"]] == [
        (["fan", "left"], "pin.fan", "headPlug", "headPlug"),
        (["fan", "right"], "pin.fan", None, "P2.4"),
    ]
    assert pins["P2.7"][0]["where"] == place("parts/heat.ini", 2, 12, 16)
    assert [use["part"] for use in form["virtual"]["probe"]["contact"]] == [["endstop", "z"]]


def test_an_alias_is_followed_to_the_pin_as_it_is_written(run: Runs, here: Path) -> None:
    write(here, {"m/main.ini": "[aliases]\nplug = PB_12\nlamp = plug\n\n[fan a]\npin = lamp\n"})
    assert list(ask(run, "pins")["boards"][""]) == ["PB_12"]


def test_facts(run: Runs, here: Path) -> None:
    """Steps per millimetre: 200 full steps of 1.8 degrees, 16 microsteps, 20 teeth of 2 mm a turn."""
    write(here, {"m/main.ini": "[axis x]\nfull steps = 200\nmicrosteps = 16\ntravel per turn = 40\n"})
    form = ask(run, "facts")
    assert form.keys() == {"schema", "facts"}
    assert all(one.keys() == {"fact", "value", "unit", "from"} for one in form["facts"])
    fact = next(one for one in form["facts"] if one["fact"] == "axis.x.steps_per_mm")
    assert (fact["value"], fact["unit"]) == (pytest.approx(80), "1/mm")
    assert [one["setting"] for one in fact["from"]] == ["full steps", "microsteps", "travel per turn"]
    only = json.loads(run("facts", "m", "--format", "json", "--only", "axis.*.step_size").out)
    assert [one["fact"] for one in only["facts"]] == ["axis.x.step_size"]


@pytest.mark.usefixtures("machine")
def test_where(run: Runs) -> None:
    form = json.loads(run("where", "heater bed:highest temp", "m", "--format", "json").out)
    assert form.keys() == {"schema", "name", "mentions"}
    assert [(one["what"], one["where"]["file"], one["where"]["line"]) for one in form["mentions"]] == [
        ("setting", "main.ini", 19),
        ("shadowed", "parts/heat.ini", 5),
    ]
    nowhere = run("where", "nobody", "m", "--format", "json")
    assert nowhere.status == 1
    assert json.loads(nowhere.out)["mentions"] == []


def test_rules_and_explain(run: Runs) -> None:
    listed = json.loads(run("rules", "--format", "json").out)
    keys = {"rule", "title", "severity", "concern", "why", "advice", "source", "limits", "examples"}
    assert listed["schema"] == 1
    assert all(one.keys() == keys for one in listed["rules"])
    page = json.loads(run("explain", "cold-side-fan-late", "--format", "json").out)
    assert page.keys() == keys | {"schema"}
    assert page["limits"]["latest"].keys() == {"value", "unit", "source"}
    assert {one["bad"] for one in page["examples"]} == {True, False}


def test_bytes_that_are_no_utf_8_survive(run: Runs, here: Path) -> None:
    (here / "m").mkdir()
    (here / "m" / "main.ini").write_bytes(b"[fan a]\npin = PA1\nnote = caf\xe9 \x1b[31m\n")
    (setting,) = [one for one in ask(run, "tree")["settings"] if one["setting"] == "note"]
    assert setting["value"].encode("utf-8", "surrogateescape") == b"caf\xe9 \x1b[31m"
    assert "\x1b" not in run("tree", "m", "--format", "json").out
