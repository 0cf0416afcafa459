"""Settings of what was measured that nobody understands."""

from __future__ import annotations

import pytest

from cfgaudit.audit import audit_text
from cfgaudit.data import data_folder
from cfgaudit.evidence.records.dependencies import dependencies, settings_digest
from cfgaudit.evidence.records.record import Evidence, MeasurementKind, Record
from cfgaudit.evidence.records.rereading import unread_settings
from cfgaudit.evidence.records.staleness import stale_records
from cfgaudit.evidence.records.unwatched import changed_unwatched, unwatched
from cfgaudit.machine.model import Machine
from cfgaudit.report.unwatched import unwatched_text
from evidence.made_records import a_record

RESONANCE, HEATUP = MeasurementKind.RESONANCE, MeasurementKind.HEATUP
MACHINE = """\
[motor x]
full steps = 200
grumble count = 20
wobble = yes
[driver x]
motor = x
running current = 1.2 A
chip = TMC2209
[endstop x]
pin = PA1
sparkle = 3
[lamp]
grumble = 4
[heater bed]
drive = PD12
crackle = 8
"""
NONE = '[roles]\n"motor x:wobble" = "none"\n'


def machine_of(text: str, words: str = "") -> Machine:
    return audit_text({"m.ini": text}, words).machine


def named(machine: Machine, kind: MeasurementKind, part: str) -> list[tuple[str, str]]:
    return [(one.section, one.name) for one in unwatched(kind, part, machine)]


def measured(machine: Machine) -> Record:
    return a_record(
        RESONANCE,
        "axis x",
        digest=settings_digest(machine.reading.tree),
        depends=dependencies(RESONANCE, "axis x", machine),
        unread=unread_settings(RESONANCE, "axis x", machine),
    )


def changed(before: str, after: str) -> list[str]:
    return [one.name for one in changed_unwatched(measured(machine_of(before)), "axis x", machine_of(after))]


def test_only_sections_of_what_counts() -> None:
    machine = machine_of(MACHINE)
    assert named(machine, RESONANCE, "axis x") == [("motor x", "grumble count"), ("motor x", "wobble")]
    assert named(machine, HEATUP, "heater bed") == [("heater bed", "crackle")]
    assert named(machine, RESONANCE, "axis u") == named(machine, MeasurementKind.VALUE, "noise") == []


def test_what_is_said_to_have_no_role_is_understood() -> None:
    machine = machine_of(MACHINE, NONE)
    assert named(machine, RESONANCE, "axis x") == [("motor x", "grumble count")]


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ("grumble count = 20", "grumble count = 16", ["grumble count"]),
        ("wobble = yes", "wobble = yes\nwheeze = 3", ["wheeze"]),
        ("wobble = yes", "Wobble =  YES", []),
        ("wobble = yes\n", "", []),
        ("sparkle = 3", "sparkle = 4", []),
        ("running current = 1.2 A", "running current = 1.3 A", []),
    ],
)
def test_what_changed_since(old: str, new: str, expected: list[str]) -> None:
    assert changed(MACHINE, MACHINE.replace(old, new)) == expected


def test_of_what_the_record_knows_nothing_of_nothing_is_told() -> None:
    """A record of before digests were kept, and a section that had another name."""
    after = machine_of(MACHINE.replace("= 20", "= 16"))
    record = measured(machine_of(MACHINE))._replace(unread="")
    assert changed_unwatched(record, "axis x", after) == ()
    assert changed(MACHINE, MACHINE.replace("motor x]", "motor x-left]")) == []


@pytest.mark.parametrize(
    ("old", "new", "unread"),
    [
        ("chip = TMC2209", "burble = TMC2209", True),
        ("chip = TMC2209", "", False),
        ("chip = TMC2209", "burble = TMC5160", False),
    ],
)
def test_a_value_that_stands_under_another_key_may_be_there_still(old: str, new: str, unread: bool) -> None:
    assert old in MACHINE
    record = measured(machine_of(MACHINE))
    (one,) = stale_records(Evidence((record,)), machine_of(MACHINE.replace(old, new)))
    (reason,) = one.reasons
    more = ", or no longer understood (cfgaudit roles --unknown)" if unread else ""
    assert reason == f"[driver x] chip was TMC2209 and is gone{more}"


def test_what_stood_there_then_too_is_no_new_name() -> None:
    before = MACHINE + "burble = TMC2209\n"
    text = before.replace("[driver x]\n", "[driver x]\nburble = TMC2209\n")
    record = measured(machine_of(text))
    (one,) = stale_records(Evidence((record,)), machine_of(text.replace("chip = TMC2209\n", "")))
    assert one.reasons == ("[driver x] chip was TMC2209 and is gone",)


def test_in_one_line() -> None:
    lines = "".join(f"oddity {number} = {number}\n" for number in range(8))
    machine = machine_of(MACHINE.replace("grumble count = 20\nwobble = yes\n", lines))
    told = unwatched_text("Not watched", unwatched(RESONANCE, "axis x", machine))
    names = ", ".join(f"oddity {number}" for number in range(6))
    assert told == f"Not watched: [motor x] {names}, and 2 more"
    assert unwatched_text("Not watched", ()) == ""


def test_of_a_real_sample() -> None:
    """What is listed of Heron is no setting that has a role."""
    base = data_folder("samples") / "heron" / "base"
    files = {path.relative_to(base).as_posix(): path.read_text("utf-8") for path in base.rglob("*.ini")}
    machine = audit_text({"heron.ini": files.pop("heron.ini"), **files}).machine
    roles = {id(one.setting) for part in machine.parts for one in part.meanings}
    for kind, part in ((RESONANCE, "axis x"), (MeasurementKind.BELTS, "belts"), (HEATUP, "heater bed")):
        assert not [one for one in unwatched(kind, part, machine) if id(one) in roles]
