"""New findings hang on the change that caused them, and on no other."""

from __future__ import annotations

from cfgaudit.audit import audit_text
from cfgaudit.history.comparing.causes import with_findings
from cfgaudit.history.comparing.compare import compare_machines
from cfgaudit.history.comparing.findings_between import without
from history.machines import STORK, Files, edited


def caused(before: Files, after: Files) -> tuple[dict[str, list[str]], set[str]]:
    """By the changes' addresses the rules of what each caused; and the rules of all that is new."""
    old, new = audit_text(before), audit_text(after)
    came = without(new.findings, old.findings)
    changes = with_findings(compare_machines(old.subject, new.subject), came, old, new)
    found = {one.address: [finding.rule for finding in one.findings] for one in changes}
    return found, {one.rule for one in came}


def test_at_the_changed_place() -> None:
    found, new = caused(STORK, edited(STORK, ("homes to = -5 mm", "homes to = -9 mm")))
    assert found == {"axis x:homes to": ["home-outside-travel"]}
    assert new == {"home-outside-travel"}


def test_elsewhere_but_related() -> None:
    """The move stands in a macro that nobody touched; the travel that it leaves is what was changed."""
    before = edited(STORK, ("G1 X10 Y20", "G1 X480 Y20"), ("high corner = 450", "high corner = 350"))
    found, new = caused(before, edited(before, ("highest = 485 mm", "highest = 400 mm")))
    assert new == {"move-outside-travel"}
    assert found == {"axis x:highest": ["move-outside-travel"]}


def test_a_name_that_was_renamed_and_is_still_used() -> None:
    after = edited(STORK, ("[fan cold-side]", "[fan throat]"))
    found, new = caused(STORK, after)
    assert "reference-dangling" in new
    assert "reference-dangling" in found["fan throat"]


def test_a_macro_that_is_gone_and_still_called() -> None:
    """What is undefined is certain only beside a name that it misses by one letter."""
    before = edited(STORK, ("[macro lamp-off]", "[macro lamp-oft]\nbody = M117\n[macro lamp-off]"))
    after = edited(before, ("[macro lamp-off]\nbody = set-light name=box level=0\n", ""))
    found, new = caused(before, after)
    assert "macro-call-undefined" in new
    assert "macro-call-undefined" in found["macro lamp-off"]


def test_a_guard_that_is_gone() -> None:
    """What is found stands at the heater that the guard watched."""
    start = STORK["heat.ini"].index("[guard nozzle]")
    text = STORK["heat.ini"]
    end = text.index("[fan cold-side]")
    other = "[guard bed]\nwatches = heater bed\nmust gain = 2 K\nwithin = 60 s\nkeeps within = 6 K\n"
    before = {**STORK, "heat.ini": text + other}
    after = {**STORK, "heat.ini": text[:start] + text[end:] + other}
    found, new = caused(before, after)
    assert "heater-unguarded" in new
    assert found["guard nozzle"] == ["heater-unguarded"]


GUARD = "[guard nozzle]\nwatches = heater nozzle\nmust gain = 2 K\nwithin = 20 s\nkeeps within = 8 K\n"
OF_BED = """\
[guard bed]
watches = heater bed
must gain = 2 K
within = 60 s
keeps within = 6 K
[fan under-bed]
drive = head.gpio15
runs with = heater bed
"""
BOUND = edited(
    {**STORK, "heat.ini": STORK["heat.ini"] + OF_BED},
    ("cooled by = fan cold-side\n", ""),
)
"""Only the fan says that it runs with the hot end; the bed has a guard and a fan, too."""
ELSEWHERE = ("runs with = heater nozzle, from", "runs with = heater bed, from")


def test_a_fan_that_runs_with_another_heater_beside_a_guard_that_is_gone() -> None:
    """Both findings stand at the heater, and each hangs on what took away what it misses."""
    found, new = caused(BOUND, edited(BOUND, (GUARD, ""), ELSEWHERE))
    assert {"heater-unguarded", "cold-side-fan-missing"} <= new
    assert found["guard nozzle"] == ["heater-unguarded"]
    assert found["fan cold-side:runs with"] == ["cold-side-fan-missing"]


def test_a_fan_that_still_runs_with_the_heater_took_nothing_away() -> None:
    found, new = caused(BOUND, edited(BOUND, (GUARD, ""), ("from 45 °C", "from 40 °C")))
    assert "heater-unguarded" in new
    assert found == {"guard nozzle": ["heater-unguarded"], "fan cold-side:runs with": []}


def test_a_reference_that_the_heater_makes_no_more() -> None:
    """A fan for parts is no fan of the cold side, unless the heater says so."""
    before = edited(
        BOUND,
        ("[fan cold-side]", "[fan part]"),
        ("runs with = heater nozzle, from 45 °C\n", ""),
        ("regulator = PID\n", "regulator = PID\ncooled by = fan part\n"),
    )
    found, new = caused(before, edited(before, (GUARD, ""), ("cooled by = fan part\n", "")))
    assert {"heater-unguarded", "cold-side-fan-missing"} == new
    assert found["guard nozzle"] == ["heater-unguarded"]
    assert found["heater nozzle:cooled by"] == ["cold-side-fan-missing"]


def test_each_of_a_heater_that_was_renamed() -> None:
    """What refers to it follows; what is gone was told by its old name."""
    after = edited(
        BOUND,
        (GUARD, ""),
        ELSEWHERE,
        ("[heater nozzle]", "[heater melter]"),
        ("highest = 285 °C\n", ""),
        ("thermometer = head.gpio26, Pt1000, pull-up 2.2k\n", ""),
    )
    found, new = caused(BOUND, after)
    assert {"heater-unguarded", "cold-side-fan-missing"} <= new
    assert {"heater-without-limits", "heater-without-sensor"} <= new
    assert found == {
        "heater melter": [],
        "guard nozzle": ["heater-unguarded"],
        "fan cold-side:runs with": ["cold-side-fan-missing"],
        "heater nozzle:highest": ["heater-without-limits"],
        "heater nozzle:thermometer": ["heater-without-sensor"],
    }


def test_a_limit_that_its_sensor_had() -> None:
    before = edited(STORK, ("highest = 110 °C\n", ""))
    found, new = caused(before, edited(before, ("highest = 120 °C\n", "")))
    assert new == {"heater-without-limits"}
    assert found == {"sensor bed-plate:highest": ["heater-without-limits"]}


def test_what_no_setting_caused_hangs_on_none() -> None:
    after = {**STORK, "stork.ini": "%include lamp.ini\n" + STORK["stork.ini"]}
    found, new = caused(STORK, after)
    assert (found, new) == ({}, {"include-missing"})


def test_of_a_section_that_is_new_all_lines_count() -> None:
    after = {**STORK, "stork.ini": STORK["stork.ini"] + "[fan second]\ndrive = head.gpio14\n"}
    found, new = caused(STORK, after)
    assert "pin-shared" in new
    assert "pin-shared" in found["fan second"]
