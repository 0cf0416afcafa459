"""A finding is itself under any names; what is expected follows from how each second state was made."""

from __future__ import annotations

import pytest

from cfgaudit.audit import audit_text
from cfgaudit.checks.finding import Findings, Severity
from cfgaudit.history.comparing.findings_between import carried, without, worse
from history.machines import STORK, TEAL, Files, edited

FAULTY = edited(
    STORK,
    ("highest = 110 °C", "highest = 110 °C\nhighest = 3 °C"),
    ("homing speed = 40 mm/s", "homing speed = rather fast"),
    ("holding current = 0.5 A", "holding current = 1.5 A"),
    ("drive = bay-socket", "drive = lamp-socket"),
    ("power at most = 80 %", "power at most = 180 %"),
    ("offset x = -28 mm", "offset x = -2800 mm"),
)
"""A limit below the lowest one that is written twice, a speed that is no number, a motor that gets warmer at
rest, a pin that two drive, more than all power, a probe beside the machine."""
PLANTED = {
    "limits-inverted",
    "repeated-setting",
    "wrong-value-shape",
    "hold-above-run",
    "pin-shared",
    "duty-out-of-range",
    "probe-offset-implausible",
}


def between(before: Files, after: Files) -> tuple[list[str], list[str]]:
    """The rules of what is new or worse, and of what is gone."""
    old, new = audit_text(before), audit_text(after)
    known = carried(old, new)
    assert len(known.findings) == len(old.findings.findings)
    came, went = worse(new.findings, known), without(known, new.findings)
    return [one.rule for one in came], [one.rule for one in went]


def moved(files: Files, old: str, new: str) -> Files:
    """The files with one under another name, and included by that."""
    return {
        path.replace(old, new): text.replace(f"include {old}", f"include {new}")
        for path, text in files.items()
    }


def test_what_is_planted_is_found() -> None:
    assert {one.rule for one in audit_text(FAULTY).findings.findings} >= PLANTED


@pytest.mark.parametrize(
    "renames",
    [
        pytest.param([("heater bed", "heater plate")], id="a heater"),
        pytest.param([("heater nozzle", "heater melter"), ("[guard nozzle]", "[guard melter]")], id="two"),
        pytest.param([("[driver x]", "[driver gantry]")], id="the driver of an axis"),
        pytest.param([("[light box]", "[light door]")], id="one of two that share a pin"),
        pytest.param([("[aliases bay]", "[aliases cupboard]")], id="a section of aliases"),
        pytest.param([("lamp-socket", "light-socket")], id="an alias"),
        pytest.param([("[aliases bay]", "[aliases cupboard]"), ("lamp-socket", "light-socket")], id="both"),
        pytest.param([("[board main]", "[board base]"), ("main.", "base.")], id="a board and its pins"),
        pytest.param(
            [("[axis x]", "[gantry axis x]"), ("homing speed =", "speed to home =")], id="a section and a key"
        ),
        pytest.param([("power at most", "duty at most"), ("holding current", "current at rest")], id="keys"),
        pytest.param([("[heater nozzle]", "[Heater_NOZZLE]")], id="a spelling"),
    ],
)
def test_a_rename_brings_and_takes_no_finding(renames: list[tuple[str, str]]) -> None:
    renamed = edited(FAULTY, *renames)
    assert between(FAULTY, renamed) == ([], [])
    assert between(renamed, FAULTY) == ([], [])


def test_a_file_that_moves_together_with_a_rename() -> None:
    renamed = moved(edited(FAULTY, ("heater bed", "heater plate")), "heat.ini", "warm/heat.ini")
    assert between(FAULTY, renamed) == ([], [])
    assert between(renamed, FAULTY) == ([], [])


def test_sections_that_move_to_a_file_that_is_read_earlier() -> None:
    """Of two that share a pin the other one is read first."""
    text = FAULTY["heat.ini"]
    at = text.index("[light box]")
    lamp, rest = text[at:], text[:at]
    after = {**FAULTY, "heat.ini": lamp.replace("box", "door") + rest}
    after = edited(after, ("name=box", "name=door"))
    assert between(FAULTY, after) == ([], [])


def test_a_real_fault_of_the_same_rule_on_another_part_stays_new() -> None:
    after = edited(
        FAULTY, ("heater bed", "heater plate"), ("lowest = 5 °C\nhighest = 285 °C", "lowest = 290 °C")
    )
    after = edited(after, ("lowest = 290 °C", "lowest = 290 °C\nhighest = 285 °C"))
    assert between(FAULTY, after) == (["limits-inverted"], [])


def test_one_that_goes_to_another_part_is_gone_and_new() -> None:
    """The renamed heater is mended, and another is spoilt: the two are not one finding."""
    after = edited(
        FAULTY,
        ("heater bed", "heater plate"),
        ("highest = 110 °C\nhighest = 3 °C", "highest = 110 °C"),
        ("highest = 285 °C", "highest = 2 °C"),
    )
    came, went = between(FAULTY, after)
    assert came.count("limits-inverted") == went.count("limits-inverted") == 1


def test_another_that_shares_the_pin() -> None:
    """The finding stands at the same lamp, renamed; but it is about another fan."""
    after = edited(
        FAULTY, ("[light box]", "[light door]"), ("drive = lamp-socket\npower", "drive = bay-socket\npower")
    )
    after = edited(after, ("drive = head.gpio14", "drive = lamp-socket"))
    came, went = between(FAULTY, after)
    assert came.count("pin-shared") == went.count("pin-shared") == 1


def test_a_part_that_takes_the_name_of_one_that_is_gone() -> None:
    """What nothing but the name has in common is another part's, even where the rule is the same."""
    lone = edited(TEAL, ("tempFloor: 5", "tempFloor: 500"))
    other = lone["parts/heat.conf"].replace("bedHeater", "plateHeater").replace("P2.7", "P2.5")
    other = (
        other.replace("P0.23", "P0.24").replace("4700", "2200").replace("105", "95").replace("61.5", "12.5")
    )
    after = {
        **lone,
        "parts/heat.conf": other.replace("500", "400").replace("ntc100k3950", "pt1000").split("[watch")[0],
    }
    came, went = between(lone, after)
    assert "limits-inverted" in came
    assert "limits-inverted" in went


def test_what_became_graver_with_the_rename_is_told() -> None:
    """A finding that was only a note and is an error now."""
    old, new = audit_text(FAULTY), audit_text(edited(FAULTY, ("heater bed", "heater plate")))
    mild = [
        one._replace(severity=Severity.NOTE) if one.rule == "limits-inverted" else one
        for one in old.findings.findings
    ]
    known = carried(old._replace(findings=Findings(tuple(mild))), new)
    assert [one.rule for one in worse(new.findings, known)] == ["limits-inverted"]
    assert without(known, new.findings) == ()


def test_one_of_two_that_say_the_same_of_one_part() -> None:
    """A setting that is written three times is found twice; mended once, one of the two is gone."""
    thrice = edited(FAULTY, ("highest = 110 °C\n", "highest = 110 °C\nhighest = 111 °C\n"))
    renamed = edited(thrice, ("heater bed", "heater plate"))
    assert between(thrice, renamed) == ([], [])
    assert between(thrice, edited(FAULTY, ("heater bed", "heater plate"))) == ([], ["repeated-setting"])
    assert between(FAULTY, renamed) == (["repeated-setting"], [])


def test_a_broken_line_of_another_file_is_another() -> None:
    """A file is mended and another one is broken: neither was renamed."""
    before = {**STORK, "heat.ini": STORK["heat.ini"] + "what is this\n"}
    after = {**STORK, "gantry.ini": STORK["gantry.ini"] + "what is this\n"}
    assert between(before, after) == (["unreadable-line"], ["unreadable-line"])
