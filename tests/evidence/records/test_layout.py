"""Who measures a machine of which nobody knows how it is driven is told how to say it."""

from __future__ import annotations

import re

import pytest

from cfgaudit.audit import audit_text
from cfgaudit.evidence.records.layout import layout_note
from cfgaudit.evidence.records.record import MeasurementKind

RESONANCE, BELTS = MeasurementKind.RESONANCE, MeasurementKind.BELTS
AXES = "".join(f"[axis {letter}]\ntop speed = 300 mm/s\n" for letter in "xyz")
GANTRY = AXES + "[gantry]\nbelt layout = Core-XY\nbuilt by = Odile\n"


def note(text: str, kind: MeasurementKind = RESONANCE, part: str = "axis x", project: str = "") -> str:
    return layout_note(kind, part, audit_text({"m.ini": text}, project).machine)


def test_the_setting_that_may_say_it_is_named() -> None:
    """And what is told, written as it is told, is understood."""
    told = note(GANTRY)
    assert "If [gantry] belt layout = Core-XY does, write " in told
    found = re.search(r'write (".*?" = ".*?") under (\[roles\]) in cfgaudit.toml', told)
    assert found is not None
    assert note(GANTRY, project=f"{found[2]}\n{found[1]}\n") == ""


def test_where_no_setting_may_say_it() -> None:
    told = note(AXES)
    assert 'If a setting does, write "SECTION:SETTING" = "kinematics" under [roles]' in told
    assert note(AXES, BELTS, "belts") == told


@pytest.mark.parametrize(
    ("kind", "part"),
    [(RESONANCE, "axis z"), (MeasurementKind.HEATUP, "heater bed"), (MeasurementKind.REPEATABILITY, "probe")],
)
def test_what_x_and_y_do_not_concern(kind: MeasurementKind, part: str) -> None:
    assert note(GANTRY, kind, part) == ""


def test_a_machine_that_says_it() -> None:
    for layout in ("cartesian", "corexy", "something of our own"):
        assert note(f"{AXES}[machine]\nkinematics = {layout}\n") == ""
    assert note("[axis x]\ntop speed = 300 mm/s\n") == "", "with one axis there is nothing to share"
