"""Which settings a record keeps: the table of roles, and whose settings they are."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

import cfgaudit.evidence.records
from cfgaudit.audit import audit_text
from cfgaudit.evidence.records.dependencies import dependencies, kinds_that_depend, settings_digest
from cfgaudit.evidence.records.record import MeasurementKind
from cfgaudit.vocabulary.catalogue import AXES, ROLES

CROSSED = """\
[motion]
kinematics = corexy
[motor x]
axis = x
full steps = 400
[motor y]
axis = y
full steps = 200
[driver x]
motor = x
running current = 1.2 A
[driver y]
motor = y
running current = 1.4 A
"""
MACHINE = """\
[motion]
layout = cartesian
top speed = 300
[axis x]
motors = left
[motor left]
travel per turn = 40
[driver]
current x = 1.2 A
current y = 1.4 A
[motor y]
axis = y
travel per turn = 32
[axis z]
travel per turn = 4 mm
[probe]
touches = 3
offset = 20, -4, 1.87
speed = 5
tolerance = 0.01
[heater bed]
heat pin = PA1
thermometer = sensor plate
resistance = 2.6 ohm
pid p = 48
[sensor plate]
thermistor pin = PA4, NTC 100k B3950
[heater nozzle]
heat pin = PA2
thermistor pin = PA5
volts = 12 V
[fan nozzle]
pin = PA3
power at most = 50 %
[supply rack]
volts = 24 V
rating = 600 W
"""


def kept(text: str, kind: MeasurementKind, part: str) -> set[tuple[str, str, str | None]]:
    """Section, value and axis of each setting that a record keeps."""
    found = dependencies(kind, part, audit_text({"m.ini": text}).machine)
    return {(one.section, one.value, one.axis) for one in found}


def test_the_table() -> None:
    """Every kind that is computed from a recording; every role and axis is one of the catalogue's."""
    tables = tomllib.loads(
        (Path(cfgaudit.evidence.records.__file__).parent / "depends.toml").read_text("utf-8")
    )
    assert list(tables) == ["resonance", "belts", "repeatability", "heatup"]
    assert {str(kind) for kind in kinds_that_depend()} == set(tables)
    for table in tables.values():
        assert set(table) <= {"of", "roles", "within", "axes", "chosen"}
        assert table["of"] in ("axis", "axes", "heater", "probe")
        assert len(set(table["roles"])) == len(table["roles"])
        assert set(table["roles"]) <= set(ROLES)
        for role, share in table.get("within", {}).items():
            assert role in table["roles"]
            assert 0 < share < 0.1
        for role, letters in table.get("axes", {}).items():
            assert role in table["roles"]
            assert set(letters) <= AXES


def test_what_one_measures_for_is_no_dependency() -> None:
    """Else every measurement would go stale by being used."""
    for depends in kinds_that_depend().values():
        used = [
            role for role in depends.roles if role.startswith(("shaper.", "pid.", "accel", "guard", "temp"))
        ]
        assert used == []
        assert "probe.tolerance" not in depends.roles
        assert not any(role.startswith("pin.") for role in depends.roles)


def test_an_axis() -> None:
    """Its parts by name and by reference, what is written for it elsewhere, and the machine's layout."""
    assert kept(MACHINE, MeasurementKind.RESONANCE, "axis x") == {
        ("motion", "cartesian", None),
        ("motor left", "40", "x"),
        ("driver", "1.2 A", "x"),
    }


def test_axes_that_share_their_motors() -> None:
    """CoreXY: both motors turn for either axis."""
    both: set[tuple[str, str, str | None]] = {
        ("motor x", "400", "x"),
        ("motor y", "200", "y"),
        ("driver x", "1.2 A", "x"),
    }
    both |= {("driver y", "1.4 A", "y"), ("motion", "corexy", None)}
    assert kept(CROSSED, MeasurementKind.RESONANCE, "axis x") == both
    assert kept(CROSSED, MeasurementKind.BELTS, "belts") == both
    alone = kept(CROSSED.replace("corexy", "cartesian"), MeasurementKind.RESONANCE, "axis x")
    assert alone == {("motor x", "400", "x"), ("driver x", "1.2 A", "x"), ("motion", "cartesian", None)}


def test_a_probe() -> None:
    """Z below it, how it touches, where it sits beside the nozzle; its height is set anew all the time."""
    assert kept(MACHINE, MeasurementKind.REPEATABILITY, "probe") == {
        ("axis z", "4 mm", "z"),
        ("probe", "3", None),
        ("probe", "20, -4", None),
        ("probe", "5", None),
    }
    apart = "[probe]\noffset x = 20\noffset y = -4\noffset z = 1.87\n"
    assert {axis for _, _, axis in kept(apart, MeasurementKind.REPEATABILITY, "probe")} == {"x", "y"}


def test_a_heater() -> None:
    """Its sensor, and the only supply where it states no volts; not its fan, not its regulator."""
    assert kept(MACHINE, MeasurementKind.HEATUP, "heater bed") == {
        ("heater bed", "2.6 ohm", None),
        ("sensor plate", "NTC 100k B3950", None),
        ("supply rack", "24 V", None),
    }
    assert kept(MACHINE, MeasurementKind.HEATUP, "bed") == kept(MACHINE, MeasurementKind.HEATUP, "heater bed")
    assert kept(MACHINE, MeasurementKind.HEATUP, "heater nozzle") == {("heater nozzle", "12 V", None)}


@pytest.mark.parametrize("kind", MeasurementKind)
@pytest.mark.parametrize("part", ["", "nothing", "axis q", "fan nozzle", "é\udce9"])
def test_a_part_that_the_machine_has_not(kind: MeasurementKind, part: str) -> None:
    found = kept(MACHINE, kind, part)
    assert found == (kept(MACHINE, kind, "belts") if kind is MeasurementKind.BELTS else found)
    if kind in (MeasurementKind.RESONANCE, MeasurementKind.HEATUP):
        assert found == set()


def test_the_digest_of_all_settings() -> None:
    """The same for moved and reordered settings and other spellings of names; another for another value."""

    def digest(files: dict[str, str]) -> str:
        return settings_digest(audit_text(files).tree)

    one = digest({"m.ini": "[motor x]\nfull steps = 200\nmicro steps = 16\n[fan a]\npin = PA1\n"})
    assert len(one) == 64
    assert one == digest(
        {
            "m.ini": "; all of it\n%include fan.ini\n[Motor X]\nmicro_steps: 16\nFull Steps = 200\n",
            "fan.ini": "[fan a]\npin = PA1\n",
        }
    )
    assert one != digest({"m.ini": "[motor x]\nfull steps = 200\nmicro steps = 32\n[fan a]\npin = PA1\n"})
    assert one != digest({"m.ini": "[motor x]\nfull steps = 200\nmicro steps = 16\n"})
