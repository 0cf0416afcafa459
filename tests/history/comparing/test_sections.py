"""Which section is which in another state of the files."""

from __future__ import annotations

from cfgaudit.audit import audit_text
from cfgaudit.history.comparing.sections import match_sections
from tests.history.machines import STORK, TEAL, Files, edited


def renamed(before: Files, after: Files) -> dict[str, str]:
    pairs = match_sections(audit_text(before).reading, audit_text(after).reading)
    assert len(set(pairs.values())) == len(pairs)
    return {old: new for old, new in pairs.items() if old != new}


def test_equal_names_in_any_spelling_are_one_section() -> None:
    pairs = match_sections(
        audit_text(STORK).reading, audit_text(edited(STORK, ("[axis x]", "[Axis_X]"))).reading
    )
    assert set(pairs) == {section.section.key for section in audit_text(STORK).reading.sections}
    assert all(old == new for old, new in pairs.items())


def test_several_renames_at_once_each_to_its_own() -> None:
    after = edited(
        STORK,
        ("heater nozzle", "heater hot"),
        ("guard nozzle", "guard hot"),
        ("fan cold-side", "fan front"),
        ("sensor bed-plate", "sensor plate"),
        ("board head", "board tool"),
        ("head.gpio", "tool.gpio"),
    )
    assert renamed(STORK, after) == {
        "heaternozzle": "heaterhot",
        "guardnozzle": "guardhot",
        "fancoldside": "fanfront",
        "sensorbedplate": "sensorplate",
        "boardhead": "boardtool",
    }


def test_two_sections_that_change_names_are_those_of_their_names() -> None:
    """Names count before contents: nobody can tell a swap of names from a swap of contents."""
    two = {"m.ini": "[fan a]\npin = PA1\n[fan b]\npin = PA2\n"}
    after = {"m.ini": "[fan b]\npin = PA1\n[fan a]\npin = PA2\n"}
    assert renamed(two, after) == {}


def test_a_pin_tells_small_sections_apart() -> None:
    before = {"m.ini": "[fan a]\npin = PA1\n[fan b]\npin = PA2\n"}
    after = {"m.ini": "[fan left]\npin = PA2\n[fan right]\npin = PA1\n"}
    assert renamed(before, after) == {"fana": "fanright", "fanb": "fanleft"}


def test_little_in_common_is_no_rename() -> None:
    before = {"m.ini": "[heater bed]\npin = PA1\nhighest = 100\nlowest = 5\nwatts = 100\n"}
    after = {"m.ini": "[heater box]\npin = PA2\nhighest = 60\nlowest = 5\nwatts = 50\n"}
    assert renamed(before, after) == {}


def test_an_axis_is_no_other_axis() -> None:
    assert renamed(TEAL, edited(TEAL, ("[axis.y]", "[axis.x]"))) == {}


def test_hundreds_of_equal_sections_are_left_alone() -> None:
    text = "".join(f"[guard g{number}]\nmust gain = 2\nwithin = 20\n" for number in range(300))
    assert renamed({"m.ini": text}, {"m.ini": text.replace("guard g", "guard h")}) == {}
