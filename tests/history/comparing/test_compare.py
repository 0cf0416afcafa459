"""One edit, one change: what it is called, where it stands, and how grave it is.

Which changes are grave is common practice, no source; the list of those that are never notes is the contract.
"""

from __future__ import annotations

import pytest

from cfgaudit.checks.finding import Severity
from cfgaudit.history.change import Change, ChangeKind
from tests.history.machines import STORK, TEAL, Files, compare, edited, only


def stork(*edits: tuple[str, str]) -> tuple[Change, ...]:
    return compare(STORK, edited(STORK, *edits))


TOP = "temp.max"
FAN = "fan cold-side:runs with"
GUARD = "guard nozzle"
CURRENT = "driver x:running current"
ONE_EDIT = [
    # old text, new text, address, role, concern, severity, relative
    ("highest = 110 °C", "highest = 118 °C", "heater bed:highest", TOP, "heat", "warning", 8 / 110),
    ("highest = 110 °C", "highest = 160 °C", "heater bed:highest", TOP, "heat", "danger", 50 / 110),
    ("highest = 110 °C", "highest = 90 °C", "heater bed:highest", TOP, "heat", "note", -20 / 110),
    ("highest = 120 °C", "highest = 200 °C", "sensor bed-plate:highest", TOP, "heat", "danger", 80 / 120),
    ("must gain = 2 K", "must gain = 1.5 K", f"{GUARD}:must gain", "guard.rise", "heat", "warning", -0.25),
    ("within = 20 s", "within = 60 s", "guard nozzle:within", "guard.time", "heat", "danger", 2.0),
    ("80 %", "95 %", "heater nozzle:power at most", "power.max", "heat", "warning", 15 / 80),
    ("from 45 °C", "from 50 °C", FAN, "temp.trigger", "heat", "warning", 5 / 45),
    ("from 45 °C", "from 90 °C", FAN, "temp.trigger", "heat", "danger", 1.0),
    ("with = heater nozzle", "with = heater bed", FAN, "ref.heater", "heat", "danger", None),
    ("Pt1000", "Pt100", "heater nozzle:thermometer", "sensor.kind", "heat", "danger", None),
    ("4.7k", "2.2k", "sensor bed-plate:thermometer", "sensor.pullup", "heat", "danger", 2.2 / 4.7 - 1),
    ("highest = 485", "highest = 490", "axis x:highest", "travel.max", "motion", "danger", 5 / 485),
    ("lowest = -5 mm", "lowest = -9 mm", "axis x:lowest", "travel.min", "motion", "danger", 4 / 5),
    ("highest = 485", "highest = 480", "axis x:highest", "travel.max", "motion", "note", -5 / 485),
    ("homes to = -5", "homes to = -4", "axis x:homes to", "home.position", "motion", "warning", -1 / 5),
    ("low end", "high end", "axis x:homes towards", "home.direction", "motion", "danger", None),
    ("turn = 40", "turn = 32", "motor x:travel per turn", "travel.turn", "motion", "danger", -0.2),
    ("turn = 40", "turn = 40.1", "motor x:travel per turn", "travel.turn", "motion", "warning", 0.0025),
    ("microsteps = 16", "microsteps = 32", "motor x:microsteps", "steps.micro", "motion", "warning", 1.0),
    ("current = 1.0 A", "current = 1.2 A", CURRENT, "current.run", "motion", "warning", 0.2),
    ("PB12 pull-up", "PB12 pull-up inverted", "endstop x:switch", "pin.endstop", "wiring", "danger", None),
    ("signal = head.gpio10", "signal = !head.gpio10", "probe:signal", "pin.probe", "wiring", "danger", None),
    ("main.PE3", "main.PE3 inverted", "motor x:direction", "pin.direction", "wiring", "danger", None),
    ("main.PE2", "main.PE9", "motor x:step", "pin.step", "wiring", "warning", None),
    ("link = can0", "link = can1", "board head:link", "board.link", "link", "warning", None),
    ("motor = x", "motor = y", "driver x:motor", "ref.motor", "reference", "warning", None),
    ("count = 9 x 9", "count = 7 x 7", "mesh bed:count", "mesh.count", "probing", "note", None),
    ("X10 Y20", "X10 Y30", "macro park:body", "macro.body", "macro", "note", None),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "address", "role", "concern", "severity", "relative"), ONE_EDIT)
def test_one_edit_is_one_change(
    old: str, new: str, address: str, role: str, concern: str, severity: str, relative: float | None
) -> None:
    one = only(stork((old, new)))
    assert (one.kind, one.address, one.role) == (ChangeKind.CHANGED, address, role)
    assert (one.concern, one.severity) == (concern, Severity(severity))
    assert one.relative == (None if relative is None else pytest.approx(relative))
    assert one.before is not None
    assert one.after is not None
    assert old.split(" = ")[-1].strip() in one.before.value
    assert new.split(" = ")[-1].strip() in one.after.value
    assert "." not in one.why[-1:]
    assert "{" not in one.why
    assert (one.effective, one.author) == (True, "hand")


@pytest.mark.parametrize(("old", "new"), [(one[0], one[1]) for one in ONE_EDIT])
def test_the_way_back_is_one_change_of_the_same_setting(old: str, new: str) -> None:
    there, back = only(stork((old, new))), only(compare(edited(STORK, (old, new)), STORK))
    assert (back.address, back.role, back.concern) == (there.address, there.role, there.concern)
    assert (back.before, back.after) == (there.after, there.before)


def test_acceleration_raised_at_least_threefold_is_a_danger() -> None:
    old = "top acceleration = 2000 mm/s²\n[axis"
    assert only(stork((old, old.replace("2000", "3000")))).severity is Severity.WARNING
    assert only(stork((old, old.replace("2000", "6000")))).severity is Severity.DANGER


@pytest.mark.parametrize(
    ("gone", "address", "role", "severity"),
    [
        ("highest = 110 °C\n", "heater bed:highest", "temp.max", "danger"),
        ("lowest = 5 °C\nhighest = 285", "heater nozzle:lowest", "temp.min", "warning"),
        ("cooled by = fan cold-side\n", "heater nozzle:cooled by", "ref.fan", "danger"),
        ("runs with = heater nozzle, from 45 °C\n", "fan cold-side:runs with", "ref.heater", "danger"),
        ("must gain = 2 K\n", "guard nozzle:must gain", "guard.rise", "danger"),
        ("switch = main.PB12 pull-up\n", "endstop x:switch", "pin.endstop", "danger"),
        ("thermometer = sensor bed-plate\n", "heater bed:thermometer", "ref.sensor", "danger"),
        ("highest = 485 mm\n", "axis x:highest", "travel.max", "danger"),
        ("colour = warm\n", "light box:colour", None, "note"),
    ],
)
def test_a_setting_that_is_gone(gone: str, address: str, role: str | None, severity: str) -> None:
    kept = gone.partition("\n")[2]
    one = only(stork((gone, kept)))
    assert (one.kind, one.address, one.role) == (ChangeKind.REMOVED, address, role)
    assert one.severity == Severity(severity)
    assert one.after is None
    assert one.before is not None
    back = only(compare(edited(STORK, (gone, kept)), STORK))
    assert (back.kind, back.address, back.before, back.after) == (ChangeKind.ADDED, address, None, one.before)


def without(files: Files, header: str) -> Files:
    """The files without one section."""
    found = {}
    for path, text in files.items():
        before, at, after = text.partition(f"[{header}]\n")
        _body, follows, rest = after.partition("\n[")
        found[path] = before + (f"[{rest}" if follows else "") if at else text
    return found


@pytest.mark.parametrize(
    ("header", "settings", "part", "concern", "severity"),
    [
        ("guard nozzle", 4, "guard", "heat", "danger"),
        ("endstop x", 2, "endstop", "motion", "danger"),
        ("fan cold-side", 4, "fan", "heat", "danger"),
        ("sensor bed-plate", 3, "sensor", "heat", "danger"),
        ("light box", 2, "light", "wiring", "note"),
        ("mesh bed", 3, "mesh", "probing", "warning"),
    ],
)
def test_a_section_that_is_gone_is_one_change(
    header: str, settings: int, part: str, concern: str, severity: str
) -> None:
    one = only(compare(STORK, without(STORK, header)))
    assert (one.kind, one.address, one.setting) == (ChangeKind.REMOVED, header, "")
    assert (one.part, one.concern, one.severity) == (part, concern, Severity(severity))
    assert one.before is not None
    assert len(one.before.settings) == settings
    assert one.after is None
    back = only(compare(without(STORK, header), STORK))
    assert (back.kind, back.address, back.before, back.after) == (ChangeKind.ADDED, header, None, one.before)
    assert back.severity in (Severity.NOTE, Severity.WARNING)


def test_what_nobody_understands_is_text_and_never_more_than_a_note() -> None:
    one = only(stork(("colour = warm", "colour = cold")))
    assert (one.kind, one.concern, one.severity, one.role) == (
        ChangeKind.TEXT,
        "structure",
        Severity.NOTE,
        None,
    )


def test_a_changed_reference_to_nothing_is_a_change_like_any_other() -> None:
    one = only(stork(("cooled by = fan cold-side", "cooled by = fan cold-sid")))
    assert (one.kind, one.role) == (ChangeKind.CHANGED, "ref.fan")


@pytest.mark.parametrize(
    ("old", "new", "address", "severity"),
    [
        ("tempCeiling: 105", "tempCeiling: 140", "bedHeater:tempCeiling", "danger"),
        ("riseSeconds: 45", "riseSeconds: 50", "watchdog.bed:riseSeconds", "warning"),
        ("pullupOhms: 4700", "pullupOhms: 2200", "bedHeater:pullupOhms", "danger"),
        ("accelLimit: 1500", "accelLimit: 4500", "axis.y:accelLimit", "danger"),
        ("^P1.26", "^!P1.26", "axis.y:limitSwitch", "danger"),
        ("maxTravel: 200", "maxTravel: 210", "axis.y:maxTravel", "danger"),
        ("dutyCeiling: 1.0", "dutyCeiling: 0.8", "bedHeater:dutyCeiling", "note"),
    ],
)
def test_another_hand(old: str, new: str, address: str, severity: str) -> None:
    one = only(compare(TEAL, edited(TEAL, (old, new))))
    assert (one.kind, one.address, one.severity) == (ChangeKind.CHANGED, address, Severity(severity))


def test_the_gravest_concern_comes_first_and_in_it_the_gravest_change() -> None:
    changes = stork(
        ("colour = warm", "colour = cold"),
        ("pid p = 22.4", "pid p = 22.5"),
        ("link = can0", "link = can1"),
        ("highest = 110 °C", "highest = 115 °C"),
        ("highest = 485", "highest = 600"),
        ("current = 1.0 A", "current = 1.1 A"),
    )
    assert [(one.concern, one.severity.value, one.address) for one in changes] == [
        ("motion", "danger", "axis x:highest"),
        ("motion", "warning", "driver x:running current"),
        ("heat", "warning", "heater bed:highest"),
        ("heat", "note", "heater nozzle:pid p"),
        ("link", "warning", "board head:link"),
        ("structure", "note", "light box:colour"),
    ]


def test_settings_before_any_header_change_one_by_one() -> None:
    one = only(compare({"m.ini": "speed = 1\n[fan a]\npin = PA1\n"}, {"m.ini": "[fan a]\npin = PA1\n"}))
    assert (one.kind, one.setting) == (ChangeKind.REMOVED, "speed")


HEATER_WITH_ALL = """\
[heater box]
drive = main.PB10
thermometer = main.PC2, NTC 100k B3950
highest = 65 °C
[guard box]
must gain = 1 K
within = 120 s
keeps within = 10 K
[fan box]
drive = main.PA8
"""


def test_a_heater_that_goes_with_all_that_served_it_leaves_nothing_dangerous() -> None:
    before = {**STORK, "gantry.ini": STORK["gantry.ini"] + HEATER_WITH_ALL}
    changes = compare(before, STORK)
    assert {one.address for one in changes} == {"heater box", "guard box", "fan box"}
    assert {one.severity for one in changes} == {Severity.WARNING}


@pytest.mark.parametrize("name", ["guard", "fan"])
def test_a_new_name_that_unbinds_what_names_alone_had_bound_is_a_danger(name: str) -> None:
    """As the guard and the fan of a heater's name serve that heater."""
    before = {**STORK, "gantry.ini": STORK["gantry.ini"] + HEATER_WITH_ALL}
    one = only(compare(before, edited(before, (f"[{name} box]", f"[{name} rear]"))))
    assert (one.kind, one.address, one.severity) == (ChangeKind.RENAMED, f"{name} rear", Severity.DANGER)


def test_a_new_name_that_a_reference_does_not_follow_unbinds_as_well() -> None:
    """Unless something else still binds the two, as the fan that names the heater, too."""
    bound = edited(STORK, ("runs with = heater nozzle, from 45 °C\n", ""))
    one = only(compare(bound, edited(bound, ("[fan cold-side]", "[fan front]"))))
    assert (one.kind, one.severity) == (ChangeKind.RENAMED, Severity.DANGER)
    one = only(stork(("[fan cold-side]", "[fan front]")))
    assert (one.kind, one.severity) == (ChangeKind.RENAMED, Severity.NOTE)


def test_a_new_name_for_all_that_it_binds_is_nothing_but_that() -> None:
    before = {**STORK, "gantry.ini": STORK["gantry.ini"] + HEATER_WITH_ALL}
    changes = compare(
        before, edited(before, (" box]\ndrive = main", " rear]\ndrive = main"), ("guard box", "guard rear"))
    )
    assert {(one.kind, one.severity) for one in changes} == {(ChangeKind.RENAMED, Severity.NOTE)}
    assert len(changes) == 3


@pytest.mark.parametrize(
    ("old", "new"),
    [("within = 20 s", "within = 0 s"), ("keeps within = 8 K", "keeps within = 0 K"), ("110 °C", "0 °C")],
)
def test_what_sinks_to_nothing_is_off_not_low(old: str, new: str) -> None:
    assert only(stork((old, new))).severity is Severity.DANGER


def test_a_lamp_that_shines_brighter_heats_nothing() -> None:
    lit = edited(STORK, ("colour = warm", "colour = warm\nbrightness = 60 %"))
    brighter = only(compare(lit, edited(lit, ("brightness = 60 %", "brightness = 80 %"))))
    assert (brighter.role, brighter.part) == ("power.max", "light")
    assert (brighter.concern, brighter.severity) == ("wiring", Severity.NOTE)
    assert brighter.relative == pytest.approx(1 / 3)


def test_a_mark_that_inverts_nothing_is_a_warning() -> None:
    one = only(stork(("PB12 pull-up", "PB12")))
    assert (one.kind, one.role, one.severity) == (ChangeKind.CHANGED, "pin.endstop", Severity.WARNING)
    assert only(compare(TEAL, edited(TEAL, ("^P1.26", "P1.26")))).severity is Severity.WARNING


def test_two_inversions_are_none() -> None:
    one = only(compare(TEAL, edited(TEAL, ("^P1.26", "^!!P1.26"))))
    assert one.severity is Severity.WARNING


def test_a_pin_that_a_template_gives_is_just_another() -> None:
    one = only(stork(("main.PE2", "${step of x}")))
    assert (one.role, one.severity) == ("pin.step", Severity.WARNING)
