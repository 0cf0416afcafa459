"""Which changes touch what was measured."""

from __future__ import annotations

import pytest

from cfgaudit.audit import audit_text
from cfgaudit.evidence.records.record import MeasurementKind
from cfgaudit.history.comparing.compare import compare_machines
from cfgaudit.history.measured_parts import Subject, touching

OLD = """\
[motion]
top acceleration = 3000
x acceleration = 2000

[x axis]
lowest = 0
highest = 400

[y axis]
lowest = 0
highest = 300

[z axis]
lowest = 0
highest = 200

[motor left]
moves = x
run current = 0.8 A
step = PB4
direction = PB5
enable = PB6

[heater bed]
drive = PD12
thermometer = bed-disc
highest = 110 °C

[sensor bed-disc]
pin = PC0
pull-up = 4.7k

[guard bed]
watches = heater bed
within = 60 s

[probe]
signal = PC1
tolerance = 0.006 mm

[lamp]
brightness = 40 %
"""
MOTOR = OLD[OLD.index("[motor left]") : OLD.index("[heater bed]")]
NEW = (
    OLD.replace("3000", "4000")
    .replace("2000", "2500")
    .replace("400", "410")
    .replace("= 300", "= 310")
    .replace("= 200", "= 210")
    .replace("0.8 A", "0.9 A")
    .replace("110 °C", "115 °C")
    .replace("4.7k", "2.2k")
    .replace("60 s", "90 s")
    .replace("0.006", "0.008")
    .replace("40 %", "50 %")
)
AXIS_X = {"top acceleration", "x acceleration", "x axis", "motor left"}


def touched(old: str, new: str, *subjects: Subject) -> set[str]:
    """The sections of the changes, or the settings where the section speaks of all axes."""
    before, after = audit_text({"a.ini": old}).subject, audit_text({"a.ini": new}).subject
    changes = compare_machines(before, after)
    found = touching(changes, subjects, before.machine, after.machine)
    return {one.setting if one.section == "motion" else one.section for one in found}


@pytest.mark.parametrize(
    ("kind", "part", "names"),
    [
        (MeasurementKind.RESONANCE, "axis x", AXIS_X),
        (MeasurementKind.RESONANCE, "Axis Y", {"top acceleration", "y axis"}),
        (MeasurementKind.BELTS, "belts", AXIS_X | {"y axis"}),
        (MeasurementKind.REPEATABILITY, "probe", {"z axis", "probe"}),
        (MeasurementKind.HEATUP, "heater bed", {"heater bed", "sensor bed-disc", "guard bed"}),
        (MeasurementKind.VALUE, "print-time", set()),
        (MeasurementKind.RESONANCE, "axis q", {"top acceleration"}),
    ],
)
def test_changes_of_what_was_measured(kind: MeasurementKind, part: str, names: set[str]) -> None:
    found = touched(OLD, NEW, Subject(kind, part))
    assert {name for name in found if name != "lamp"} == names
    assert "lamp" not in found


def test_nothing_measured_nothing_touched() -> None:
    assert touched(OLD, NEW) == set()


def test_new_names_change_nothing() -> None:
    renamed = OLD.replace("[motor left]", "[motor port side]")
    assert touched(OLD, renamed, Subject(MeasurementKind.RESONANCE, "axis x")) == set()


def test_what_is_gone_is_told() -> None:
    shorter = OLD.replace(MOTOR, "")
    assert touched(OLD, shorter, Subject(MeasurementKind.RESONANCE, "axis x")) == {"motor left"}
