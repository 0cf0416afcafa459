"""The pin map."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.machine.model import Machine, PinUse
from machine.readings import machine_of

BOARDS = "[board main]\n[board tool]\n"


def users(machine: Machine) -> dict[tuple[str, str], list[str]]:
    return {
        (board, pin): [use.part.title if use.part else "" for use in uses]
        for board, pins in machine.pins.items()
        for pin, uses in pins.items()
    }


def only(machine: Machine) -> PinUse:
    (use,) = (use for pins in machine.pins.values() for uses in pins.values() for use in uses)
    return use


def test_every_spelling_of_a_pin_and_its_board_is_one_key() -> None:
    text = BOARDS + "[fan a]\nblow = main.PB_1\n[fan b]\nblow = !PB1\n[fan c]\nblow = pb1 @ MAIN inverted\n"
    assert users(machine_of(text)) == {("main", "PB1"): ["fan a", "fan b", "fan c"]}


@given(
    board=st.sampled_from(["tool head", "toolHead", "TOOL-HEAD", "tool_head"]),
    joint=st.sampled_from([".", ":", "/"]),
    pin=st.sampled_from(["PB12", "pb12", "PB_12"]),
)
@settings(max_examples=30)
def test_two_users_meet_whatever_the_spelling(board: str, joint: str, pin: str) -> None:
    text = (
        f"[board]\n[board tool head]\n[fan a]\nblow = {board}{joint}{pin}\n[fan b]\nblow = tool-head.PB12\n"
    )
    assert users(machine_of(text)) == {("toolhead", "PB12"): ["fan a", "fan b"]}


def test_a_pin_without_a_board_is_on_the_part_own_board_else_the_main_one() -> None:
    text = "[board tool]\n[board]\n[fan a]\nblow = PA1\n[fan b]\nblow = PA1\nlives = tool\n"
    assert users(machine_of(text)) == {("", "PA1"): ["fan a"], ("tool", "PA1"): ["fan b"]}


def test_the_only_board_is_meant_whether_it_is_named_or_not() -> None:
    text = "[board bay]\n[fan a]\nblow = PA1\n[fan b]\nblow = bay.PA1\n"
    assert users(machine_of(text)) == {("bay", "PA1"): ["fan a", "fan b"]}


def test_a_board_own_pins_are_on_it() -> None:
    assert users(machine_of(BOARDS + "[board third]\nwires = PC1\n")) == {("third", "PC1"): ["board third"]}


def test_a_board_that_nobody_has_is_not_known() -> None:
    use = only(machine_of(BOARDS + "[fan a]\nblow = tol.PA1\n"))
    assert (use.board, use.key, use.known_board, use.virtual) == ("tol", "PA1", False, None)


def test_without_any_board_section_every_prefix_may_be_a_board() -> None:
    assert only(machine_of("[fan a]\nblow = somewhere.PA1\n")).known_board


def test_a_section_that_is_no_board_to_us_may_be_one_to_the_firmware() -> None:
    use = only(machine_of(BOARDS + "[gizmo]\n[fan a]\nblow = gizmo.PA1\n"))
    assert (use.board, use.known_board, use.virtual) == ("gizmo", True, None)


def test_a_pin_that_another_part_offers_is_virtual() -> None:
    machine = machine_of(BOARDS + "[probe]\ntouch = PA1\n[endstop z]\nswitch = probe.contact\n")
    use = machine.pins["probe"]["contact"][0]
    assert (use.virtual, use.part and use.part.title) == (next(machine.kind("probe")), "endstop z")


def test_a_part_that_is_named_instead_of_a_pin_offers_it() -> None:
    machine = machine_of("[servo arm]\nwires = PA9\n[probe]\ntouch = arm\n")
    assert machine.pins["arm"]["arm"][0].virtual is next(machine.kind("servo"))


def test_an_alias_is_followed_and_is_no_use_itself() -> None:
    text = (
        BOARDS
        + "[alias plugs]\nhot = main.PB1\ncold = PB2\n[heater a]\ncoil = hot\n[fan b]\nblow = main.PB1\n"
    )
    machine = machine_of(text)
    assert users(machine) == {("main", "PB1"): ["heater a", "fan b"]}
    assert [use.via and use.via.name for use in machine.pins["main"]["PB1"]] == ["hot", None]


def test_rails_switches_and_absent_pins_are_no_uses() -> None:
    values = ("<5V>", "none", "yes", "${pin}", "auto")
    text = "".join(f"[light {rank}]\nwires = {value}\n" for rank, value in enumerate(values))
    assert machine_of(text).pins == {}


def test_every_pin_of_a_list_is_used_and_nothing_else() -> None:
    machine = machine_of("[light a]\nwires = PA1, PA2 inverted,\n   PA3, slow, 20 %\n")
    assert sorted(pin for _, pin in users(machine)) == ["PA1", "PA2", "PA3"]


def test_each_pin_of_a_list_has_its_own_place() -> None:
    machine = machine_of("[light a]\nwires = PA1, PA2\n")
    assert [(uses[0].place.line, uses[0].place.column) for uses in machine.pins[""].values()] == [
        (2, 9),
        (2, 14),
    ]


def test_words_behind_a_comma_belong_to_the_pin() -> None:
    assert only(machine_of("[light a]\nwires = PA1, inverted\n")).pin.words == ("inverted",)


def test_shared_meanings_of_a_section_are_one_use() -> None:
    machine = machine_of("[motor+heater feeder]\nwires = PA1\n")
    assert users(machine) == {("", "PA1"): ["motor feeder"]}


@pytest.mark.parametrize(
    "value", ["PA1", "main.PA1", "^!PA1", "gpio4", "probe.x", "nowhere", "1", "-", "", "a b c d e"]
)
def test_whatever_stands_there_it_never_fails(value: str) -> None:
    machine_of(f"[fan a]\nblow = {value}\n")
