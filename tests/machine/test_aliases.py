"""Names for pins."""

from __future__ import annotations

import pytest

from cfgaudit.machine.model import Machine
from machine.readings import machine_of

BOARDS = "[board main]\n[board tool]\n"


def ends(machine: Machine) -> set[tuple[str, str]]:
    return {(board, pin) for board, pins in machine.pins.items() for pin in pins}


@pytest.mark.parametrize(
    "lines",
    [
        "hot-plug = PB1",
        "pairs = hot-plug = PB1, cold = PB2",
        "pairs =\n  hot-plug = PB1,\n  cold = PB2\n",
        "pairs: hot-plug: PB1",
    ],
)
def test_pairs_stand_as_settings_one_a_line_or_between_commas(lines: str) -> None:
    machine = machine_of(f"{BOARDS}[alias plugs]\n{lines}\n[fan a]\nblow = Hot_Plug\n")
    assert ends(machine) == {("main", "PB1")}
    assert machine.aliases[0].name == "hot-plug"


def test_an_alias_stands_where_its_name_is_written() -> None:
    machine = machine_of("[alias a]\npairs =\n    left = PB1,\n    right = PB2\n[alias b]\nup = PB3\n")
    assert [(one.name, one.place.line, one.place.column) for one in machine.aliases] == [
        ("left", 3, 5),
        ("right", 4, 5),
        ("up", 6, 1),
    ]


def test_an_alias_of_an_alias_ends_at_the_pin() -> None:
    machine = machine_of("[alias a]\nfirst = second\nsecond = third\nthird = PB3\n[fan a]\nblow = first\n")
    assert ends(machine) == {("", "PB3")}
    assert machine.pins[""]["PB3"][0].via is machine.aliases[0]


def test_a_circle_of_aliases_ends() -> None:
    machine = machine_of("[alias a]\none = other\nother = one\n[fan a]\nblow = one\n")
    assert len(ends(machine)) == 1


def test_the_label_or_a_setting_names_the_board() -> None:
    label = machine_of(f"{BOARDS}[alias tool]\nhot = PB1\n[fan a]\nblow = tool.hot\n")
    setting = machine_of(f"{BOARDS}[alias plugs]\nboard = tool\nhot = PB1\n[fan a]\nblow = tool.hot\n")
    assert ends(label) == ends(setting) == {("tool", "PB1")}


def test_the_pin_behind_an_alias_may_be_on_another_board() -> None:
    machine = machine_of(
        f"{BOARDS}[alias plugs]\nhot = tool.PB1\n[fan a]\nblow = hot\n[fan b]\nblow = tool.hot\n"
    )
    assert ends(machine) == {("tool", "PB1")}
    assert len(machine.pins["tool"]["PB1"]) == 2


def test_one_name_may_mean_a_pin_on_each_board() -> None:
    names = f"{BOARDS}[alias main]\nhot = PB1\n[alias tool]\nhot = PB2\n"
    assert ends(machine_of(f"{names}[fan a]\nblow = hot\n[fan b]\nblow = tool.hot\n")) == {
        ("main", "PB1"),
        ("tool", "PB2"),
    }


def test_a_name_that_looks_like_a_pin_is_an_alias_where_it_is_defined() -> None:
    machine = machine_of("[alias a]\nD9 = PH6\n[fan a]\nblow = D9\n[fan b]\nblow = D8\n")
    assert ends(machine) == {("", "PH6"), ("", "D8")}


def test_an_alias_section_may_stand_before_the_separator() -> None:
    machine = machine_of(f"{BOARDS}[alias plugs]\nhot = tool.PB1\n[fan a]\nblow = plugs.hot\n")
    assert ends(machine) == {("tool", "PB1")}


def test_rails_and_other_settings_are_no_aliases() -> None:
    machine = machine_of(
        f"{BOARDS}[alias plugs]\nboard = main\nground = <GND>\nnote = see the lid\nhot = PB1\n"
    )
    assert [one.name for one in machine.aliases] == ["hot"]
