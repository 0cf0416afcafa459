"""Other names, other sections, other files: what moved or was renamed is told as that, and once."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

from cfgaudit.checks.finding import Severity
from cfgaudit.history.change import Change, ChangeKind
from tests.history.machines import STORK, TEAL, Files, compare, edited, only


def stork(*edits: tuple[str, str]) -> tuple[Change, ...]:
    return compare(STORK, edited(STORK, *edits))


def told(changes: tuple[Change, ...]) -> list[tuple[str, str, str]]:
    return [(one.kind.value, one.address, one.severity.value) for one in changes]


def test_a_renamed_section_is_one_change_and_references_that_follow_are_none() -> None:
    one = only(stork(("fan cold-side", "fan heatsink")))
    assert (one.kind, one.address, one.severity) == (ChangeKind.RENAMED, "fan heatsink", Severity.NOTE)
    assert one.before is not None
    assert one.before.section == "fan cold-side"
    assert one.part == "fan"
    assert one.concern == "heat"


def test_a_reference_that_does_not_follow_a_rename_did_not_change() -> None:
    one = only(stork(("[fan cold-side]", "[fan heatsink]")))
    assert (one.kind, one.address) == (ChangeKind.RENAMED, "fan heatsink")


def test_what_differs_in_a_renamed_section_is_a_change_under_its_new_name() -> None:
    changes = stork(("fan cold-side", "fan heatsink"), ("from 45 °C", "from 60 °C"))
    assert told(changes) == [
        ("changed", "fan heatsink:runs with", "warning"),
        ("renamed", "fan heatsink", "note"),
    ]
    before = changes[0].before
    assert before is not None
    assert (before.section, before.value) == ("fan cold-side", "heater nozzle, from 45 °C")


def test_a_renamed_heater_takes_its_guard_its_fan_and_its_macros_along() -> None:
    one = only(stork(("heater nozzle", "heater hot-end")))
    assert (one.kind, one.address) == (ChangeKind.RENAMED, "heater hot-end")


def test_a_renamed_board_takes_its_pins_along() -> None:
    one = only(stork(("board head", "board tool"), ("head.gpio", "tool.gpio")))
    assert (one.kind, one.address, one.concern) == (ChangeKind.RENAMED, "board tool", "link")


def test_a_renamed_macro_takes_its_calls_along() -> None:
    one = only(stork(("lamp-off", "box-dark")))
    assert (one.kind, one.address) == (ChangeKind.RENAMED, "macro box-dark")


def test_a_renamed_and_edited_macro_is_still_itself() -> None:
    before = edited(STORK, ("    lamp-off\n", "    lamp-off\n    G91\n    G1 Z5 F600\n    M140 S0\n"))
    changes = compare(before, edited(before, ("macro park", "macro rest"), ("X10 Y20", "X10 Y30")))
    assert told(changes) == [("renamed", "macro rest", "note"), ("changed", "macro rest:body", "note")]


def test_a_renamed_section_in_another_hand() -> None:
    one = only(compare(TEAL, edited(TEAL, ("bedHeater", "plateHeater"))))
    assert (one.kind, one.address) == (ChangeKind.RENAMED, "plateHeater")


TWIN = """\
[guard {}]
watches = heater a
must gain = 2 K
within = 20 s
"""


def test_no_guess_where_two_fit_alike() -> None:
    before = {"m.ini": TWIN.format("a") + TWIN.format("b")}
    after = {"m.ini": TWIN.format("left") + TWIN.format("right")}
    assert sorted(told(compare(before, after))) == [
        ("added", "guard left", "note"),
        ("added", "guard right", "note"),
        ("removed", "guard a", "danger"),
        ("removed", "guard b", "danger"),
    ]


def test_another_kind_of_part_is_no_rename() -> None:
    before = {"m.ini": "[fan a]\ndrive = main.PA1\npower at least = 20 %\npower at most = 90 %\n"}
    after = edited(before, ("fan a", "light a"))
    assert sorted(one.kind.value for one in compare(before, after)) == ["added", "removed"]


def test_a_renamed_setting_is_one_change() -> None:
    one = only(stork(("travel per turn = 40 mm", "turn travel = 40 mm")))
    assert (one.kind, one.address, one.severity) == (
        ChangeKind.RENAMED,
        "motor x:turn travel",
        Severity.NOTE,
    )
    assert one.before is not None
    assert one.before.settings[0].setting == "travel per turn"


def test_a_setting_that_took_another_ones_place_is_a_change_of_it() -> None:
    one = only(stork(("travel per turn = 40 mm", "turn travel = 20 mm")))
    assert (one.kind, one.address, one.severity) == (
        ChangeKind.CHANGED,
        "motor x:turn travel",
        Severity.DANGER,
    )
    assert one.before is not None
    assert one.before.settings[0].setting == "travel per turn"
    assert one.relative == pytest.approx(-0.5)


def test_another_key_whose_value_says_nothing_is_no_rename() -> None:
    changes = stork(("smooths steps = yes", "sings softly = yes"))
    assert sorted(one.kind.value for one in changes) == ["added", "removed"]


def test_a_renamed_alias_is_one_rename_and_its_uses_just_follow() -> None:
    one = only(stork(("bay-socket", "rear-socket")))
    assert (one.kind, one.address, one.severity, one.concern) == (
        ChangeKind.RENAMED,
        "aliases bay:rear-socket",
        Severity.NOTE,
        "wiring",
    )


def test_what_nobody_understands_follows_a_renamed_alias() -> None:
    before = edited(STORK, ("colour = warm", "colour = lamp-socket"))
    one = only(compare(before, edited(before, ("lamp-socket", "box-socket"))))
    assert (one.kind, one.address) == (ChangeKind.RENAMED, "aliases bay:box-socket")


def test_a_renamed_alias_among_several_in_one_value() -> None:
    before = {
        "m.ini": "[aliases lid]\nnames = xOut=PB0, lamp=PB1\n[fan bay]\npin = xOut\n[light a]\npin = lamp\n"
    }
    one = only(compare(before, edited(before, ("xOut", "rearOut"))))
    assert (one.kind, one.address) == (ChangeKind.RENAMED, "aliases lid:names")
    assert one.why == "rearOut was xOut"


def test_two_renamed_aliases_in_one_value_are_told_apart_by_their_pins() -> None:
    before = {
        "m.ini": "[aliases lid]\nnames = xOut=PB0, lamp=PB1\n[fan bay]\npin = xOut\n[light a]\npin = lamp\n"
    }
    one = only(compare(before, edited(before, ("xOut=PB0, lamp=PB1", "lid-lamp=PB1, rear=PB0"))))
    assert one.why == "lid-lamp was lamp, rear was xOut"


def test_an_alias_for_another_pin_weighs_what_its_users_suffer() -> None:
    one = only(stork(("bay-socket = main.PB0", "bay-socket = main.PB5")))
    assert (one.kind, one.address, one.severity) == (
        ChangeKind.CHANGED,
        "aliases bay:bay-socket",
        Severity.WARNING,
    )
    before = {"m.ini": "[aliases]\nx-stop = PB0\n[endstop x]\nswitch = x-stop\n"}
    one = only(compare(before, edited(before, ("= PB0", "= !PB0"))))
    assert one.severity is Severity.DANGER


def test_an_alias_in_another_section_of_aliases_moved() -> None:
    after = edited(STORK, ("lamp-socket = main.PB1", "[aliases box]\nlamp-socket = main.PB1"))
    assert sorted(told(compare(STORK, after))) == [
        ("added", "aliases box", "note"),
        ("moved", "aliases box:lamp-socket", "note"),
    ]


def test_a_pin_written_out_instead_of_its_alias_is_no_change() -> None:
    assert stork(("drive = bay-socket", "drive = main.PB0")) == ()


def test_a_setting_that_moved_to_another_section() -> None:
    changes = stork(("full steps = 400\n", ""), ("motor = x\n", "motor = x\nfull steps = 400\n"))
    one = only(changes)
    assert (one.kind, one.address, one.severity) == (
        ChangeKind.MOVED,
        "driver x:full steps",
        Severity.NOTE,
    )
    assert one.before is not None
    assert one.before.section == "motor x"
    assert one.before.value == "400"


GUARDS = "must gain = 2 K\nwithin = 20 s\n"
GUARDED = edited(STORK, ("keeps within = 8 K\n", ""))
INTO_THE_HEATER = (
    (f"[guard nozzle]\nwatches = heater nozzle\n{GUARDS}", ""),
    ("regulator = PID\n", f"regulator = PID\n{GUARDS}"),
)


def test_a_guard_written_into_its_heaters_section_is_still_a_guard() -> None:
    changes = compare(GUARDED, edited(GUARDED, *INTO_THE_HEATER))
    assert {(one.kind.value, one.address) for one in changes} == {
        ("removed", "guard nozzle"),
        ("moved", "heater nozzle:must gain"),
        ("moved", "heater nozzle:within"),
    }
    assert {one.severity for one in changes} == {Severity.NOTE}
    back = compare(edited(GUARDED, *INTO_THE_HEATER), GUARDED)
    assert {one.severity for one in back} == {Severity.NOTE}


def test_a_guard_of_which_something_was_lost_on_the_way_is_missed() -> None:
    after = edited(GUARDED, *INTO_THE_HEATER)
    changes = compare(GUARDED, edited(after, ("within = 20 s\n", "")))
    assert ("removed", "guard nozzle", "danger") in told(changes)


def test_a_sensor_written_into_its_heaters_section_is_still_its_sensor() -> None:
    inner = "thermometer = main.PC0, NTC 100k B3950, pull-up 4.7k\n"
    heater = "[heater bed]\ndrive = main.PD1\nsensor = sensor plate\nhighest = 110\n"
    two = {"m.ini": f"{heater}[sensor plate]\n{inner}"}
    one = {"m.ini": f"[heater bed]\ndrive = main.PD1\n{inner}highest = 110\n"}
    for changes in (compare(two, one), compare(one, two)):
        assert {each.severity for each in changes} == {Severity.NOTE}
        assert [each.kind for each in changes].count(ChangeKind.MOVED) == 1


def test_a_guard_of_another_heater_is_not_the_same_guard_moved() -> None:
    guard = "[guard nozzle]\nwatches = heater nozzle\nmust gain = 2 K\nwithin = 20 s\nkeeps within = 8 K\n"
    other = "[guard bed]\nwatches = heater bed\nmust gain = 2 K\nwithin = 20 s\nkeeps within = 7 K\n"
    changes = stork((guard, other))
    assert max(changes, key=lambda one: -one.severity.rank).severity is Severity.DANGER
    assert ChangeKind.MOVED not in {one.kind for one in changes}


def test_a_setting_in_another_file_or_place_is_no_change() -> None:
    section = "[light box]\ndrive = lamp-socket\ncolour = warm\n"
    after = edited(STORK, (section, ""))
    after["gantry.ini"] = section + after["gantry.ini"]
    assert compare(STORK, after) == ()


def test_a_renamed_file_is_no_change_as_git_finds_it_renamed(tmp_path: Path) -> None:
    """The outside: ``git diff --find-renames`` calls the file renamed with all of its lines."""
    after = {path.replace("heat.ini", "hot/warmth.ini"): text for path, text in STORK.items()}
    after = edited(after, ("%include heat.ini", "%include hot/warmth.ini"))
    assert compare(STORK, after) == ()
    status = git_status(tmp_path, STORK, after)
    assert "R100\theat.ini\thot/warmth.ini" in status


def git_status(folder: Path, before: Files, after: Files) -> str:
    for name, files in (("a", before), ("b", after)):
        for path, text in files.items():
            (folder / name / path).parent.mkdir(parents=True, exist_ok=True)
            (folder / name / path).write_text(text, "utf-8")
    command = ["git", "diff", "--no-index", "--find-renames", "--name-status", "a", "b"]
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False)
    return done.stdout.replace("\ta/", "\t").replace("\tb/", "\t")


SHADOWED = {
    "m.ini": "%include parts.ini\n%include late.ini\n",
    "parts.ini": "[heater bed]\npin = PA1\nhighest = 100 °C\n",
    "late.ini": "[heater bed]\nhighest = 110 °C\n",
}


def test_a_value_that_a_later_file_shadows_has_no_effect_and_says_so() -> None:
    one = only(compare(SHADOWED, edited(SHADOWED, ("100 °C", "300 °C"))))
    assert (one.kind, one.severity, one.effective) == (ChangeKind.CHANGED, Severity.NOTE, False)
    assert one.before is not None
    assert one.after is not None
    assert (one.before.value, one.after.value) == ("100 °C", "300 °C")
    assert (one.after.where.file, one.after.where.line) == ("parts.ini", 3)
    assert one.why == "late.ini:2 counts"


def test_a_shadowed_value_that_is_gone_or_new_has_no_effect() -> None:
    after = edited(SHADOWED, ("highest = 100 °C\n", ""))
    gone, came = only(compare(SHADOWED, after)), only(compare(after, SHADOWED))
    assert (gone.kind, gone.effective, gone.after) == (ChangeKind.REMOVED, False, None)
    assert (came.kind, came.effective, came.before) == (ChangeKind.ADDED, False, None)


def test_a_shadowed_value_in_another_file_is_no_change() -> None:
    after = {
        "m.ini": "[heater bed]\nhighest = 100 °C\n%include parts.ini\n%include late.ini\n",
        "parts.ini": "[heater bed]\npin = PA1\n",
        "late.ini": SHADOWED["late.ini"],
    }
    assert compare(SHADOWED, after) == ()


def test_a_value_that_stops_being_shadowed_is_a_change() -> None:
    one = only(compare(SHADOWED, edited(SHADOWED, ("highest = 110 °C\n", ""))))
    assert (one.kind, one.effective) == (ChangeKind.CHANGED, True)
    assert one.before is not None
    assert one.after is not None
    assert (one.before.value, one.after.value) == ("110 °C", "100 °C")


BY_HAND = "[heater bed]\npin = PA1\npid p = 20.0\n[probe]\npin = PA2\noffset z = 1.8\n"
BLOCK = """
;-- [heater bed]
;-- pid p = 24.8
;-- [probe]
;-- offset z = 1.87
"""


def test_what_the_machine_writes_is_told_apart() -> None:
    changes = compare({"m.ini": BY_HAND}, {"m.ini": BY_HAND + BLOCK})
    assert {(one.address, one.kind.value, one.author) for one in changes} == {
        ("heater bed:pid p", "changed", "machine"),
        ("probe:offset z", "changed", "machine"),
    }


def test_a_hand_written_value_under_the_machines_own_has_no_effect() -> None:
    before = {"m.ini": BY_HAND + BLOCK}
    one = only(compare(before, edited(before, ("pid p = 20.0", "pid p = 30.0"))))
    assert (one.effective, one.author, one.severity) == (False, "hand", Severity.NOTE)
    assert one.why == "m.ini:9, written by the machine, counts"


def test_a_machines_block_that_is_gone_gives_the_hand_written_values_back() -> None:
    changes = compare({"m.ini": BY_HAND + BLOCK}, {"m.ini": BY_HAND})
    assert {(one.address, one.author, one.after and one.after.value) for one in changes} == {
        ("heater bed:pid p", "hand", "20.0"),
        ("probe:offset z", "hand", "1.8"),
    }


def test_a_recalibration_under_an_edit_by_hand_are_two_changes() -> None:
    before = {"m.ini": BY_HAND + BLOCK}
    changes = compare(before, edited(before, ("pid p = 20.0", "pid p = 30.0"), ("24.8", "25.1")))
    assert sorted((one.effective, one.author) for one in changes) == [(False, "hand"), (True, "machine")]
