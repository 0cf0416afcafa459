"""A section with a name that says nothing, of which ``[parts]`` states what it is, is what it was before.

The machine is read twice: as it stands, and with one section renamed and taught. Its facts and its findings
are expected to be the same; no source but that.
"""

from __future__ import annotations

import json
from typing import NamedTuple

import pytest

from cfgaudit.audit import Audit, audit_text
from cfgaudit.checks.finding import Severity
from cfgaudit.checks.heated_place import heated_place
from cfgaudit.checks.run import raise_fault
from cfgaudit.history.change import ChangeKind
from cfgaudit.history.comparing.compare import compare_machines
from tests.history.machines import edited

MACHINE = """\
[motion]
kinematics = cartesian
top speed = 200 mm/s
[motor x]
step = PA1
direction = PA2
full steps = 200
microsteps = 16
travel per turn = 40 mm
lowest = 0 mm
highest = 300 mm
homes to = 310 mm
homing speed = 40 mm/s
[driver x]
model = TMC2209
uart = PA4
running current = 1.9 A
sense resistor = 0.11 ohm
[axis y]
lowest = 0 mm
highest = 250 mm
homes to = 260 mm
homing speed = 40 mm/s
[motor y]
step = PB1
direction = PB2
full steps = 400
microsteps = 16
travel per turn = 32 mm
[extruder]
step = PB3
direction = PB4
full steps = 200
microsteps = 16
travel per turn = 8 mm
nozzle size = 0.4 mm
filament size = 1.75 mm
heater pin = PB5
thermistor pin = PC1
lowest temp = 0 °C
highest temp = 280 °C
[heater bed]
drive = PB6
thermometer = PC2
volts = 24 V
rating = 200 W
lowest temp = 0 °C
highest temp = 900 °C
[fan bed]
drive = PB7
[guard bed]
must gain = 2 K
within = 60 s
"""

TAUGHT = [
    ("motor x", "motor x"),
    ("motor x", "motor x, axis x"),
    ("motor x", ["motor x", "axis x"]),
    ("motor x", "axis x"),
    ("driver x", "driver x"),
    ("axis y", "axis y"),
    ("motor y", "motor y"),
    ("extruder", ["motor extruder", "heater extruder"]),
    ("extruder", "motor tool, heater extruder"),
    ("heater bed", "heater bed"),
    ("fan bed", "fan bed"),
    ("guard bed", "guard bed"),
]
NAMES = ["west hauler", "westward", "b2"]


class Told(NamedTuple):
    """What a machine comes to, without the names of its sections."""

    facts: dict[str, object]
    findings: list[tuple[str, str, int]]


def told(audit: Audit) -> Told:
    facts = {one.name: one.value for one in audit.facts.facts}
    found = [(one.rule, str(one.severity), one.where.line) for one in audit.findings.findings]
    return Told(facts, found)


def read(text: str, project: str = "") -> Audit:
    return audit_text({"main.ini": text}, project, on_fault=raise_fault)


def taught(section: str, stated: str | list[str], name: str) -> Audit:
    files = edited({"main.ini": MACHINE}, (f"[{section}]", f"[{name}]"))
    return read(files["main.ini"], f'[parts]\n"{name}" = {json.dumps(stated)}\n')


def test_the_machine_shows_what_a_rename_may_lose() -> None:
    before = told(read(MACHINE))
    rules = [(rule, line) for rule, _, line in before.findings]
    assert rules.count(("home-outside-travel", 12)) == 1
    assert rules.count(("home-outside-travel", 22)) == 1
    assert {"axis.x.travel", "axis.y.travel", "axis.e.steps_per_mm"} <= set(before.facts)
    assert {"driver.x.current_ceiling", "heater.bed.watts"} <= set(before.facts)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize(("section", "stated"), TAUGHT)
def test_a_taught_section_is_what_it_was(section: str, stated: str | list[str], name: str) -> None:
    before, after = told(read(MACHINE)), told(taught(section, stated, name))
    assert after.facts == before.facts
    assert after.findings == before.findings


FAN_BY_PLACE = MACHINE.replace("[fan bed]", "[fan extruder]")
"""No setting binds the fan to its heater: only its name does."""


def test_a_fan_is_bound_by_its_taught_name_as_by_its_own() -> None:
    named = read(FAN_BY_PLACE)
    renamed = read(FAN_BY_PLACE.replace("[fan extruder]", "[gale]"), '[parts]\ngale = "fan extruder"\n')
    assert bonds(named) == bonds(renamed)
    assert ("fan extruder", "heater extruder") in bonds(renamed)


def bonds(audit: Audit) -> set[tuple[str, str]]:
    return {(one.origin.title, one.target.title) for one in audit.machine.references if one.target}


@pytest.mark.parametrize("text", ["x", "motor x", "x motor", "west hauler", "West_Hauler", "hauler"])
def test_a_reference_finds_a_taught_motor_by_each_of_its_names(text: str) -> None:
    edits = (("[motor x]", "[west hauler]"), ("[driver x]", f"[driver west]\nmotor = {text}"))
    audit = read(edited({"main.ini": MACHINE}, *edits)["main.ini"], '[parts]\n"west hauler" = "motor x"\n')
    assert ("driver west", "motor x") in bonds(audit)
    assert [part.title for part in audit.machine.axis("x").parts("driver")] == ["driver west"]


LONG = [one for one in TAUGHT if one != ("motor x", "axis x") and one[0] != "guard bed"]
"""Taught as the kind that they were, and with enough settings to know them again under any name."""


@pytest.mark.parametrize(("section", "stated"), LONG)
def test_a_rename_that_is_taught_is_one_change_and_a_note(section: str, stated: str | list[str]) -> None:
    changes = compare_machines(read(MACHINE).subject, taught(section, stated, "west hauler").subject)
    assert [(one.kind, one.severity) for one in changes] == [(ChangeKind.RENAMED, Severity.NOTE)]


HEATED = "[{}]\ndrive = PB6\nthermometer = PC2\nlowest temp = 0 °C\nhighest temp = 200 °C\n"


@pytest.mark.parametrize("name", ["bed", "chamber", "nozzle"])
def test_what_a_taught_heater_heats_is_what_its_label_says(name: str) -> None:
    """Also where the section's own name speaks of another place."""
    for own in ("slab", "hot end", "bed side"):
        audit = read(HEATED.format(own), f'[parts]\n"{own}" = "heater {name}"\n')
        named = read(HEATED.format(f"heater {name}"))
        (heater,), (other,) = audit.machine.kind("heater"), named.machine.kind("heater")
        assert heated_place(audit.subject, heater) == heated_place(named.subject, other) is not None
        assert told(audit) == told(named)
