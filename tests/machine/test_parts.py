"""Parts with their meanings."""

from __future__ import annotations

from cfgaudit.syntax.value import Number
from machine.readings import machine_of, part_of


def test_every_section_is_a_part_of_its_kind_and_name() -> None:
    machine = machine_of("[heater bed]\ncoil = PA1\n[axis x]\nlow = 0\n[probe]\ntouch = PA2\n")
    assert [(part.kind, part.name, part.axis) for part in machine.parts] == [
        ("heater", "bed", None),
        ("axis", "x", "x"),
        ("probe", "", None),
    ]
    assert [part.title for part in machine.parts] == ["heater bed", "axis x", "probe"]


def test_parts_of_one_section_hold_what_their_kinds_can_have() -> None:
    machine = machine_of("[motor+heater feeder]\nstep = PA1\ncoil = PA2\nhottest = 250\nwires = PA3\n")
    motor, heater = machine.parts
    assert [one.role for one in motor.meanings] == ["pin.step", "pin.other"]
    assert [one.role for one in heater.meanings] == ["pin.heater", "temp.max", "pin.other"]
    assert list(machine.mates(motor)) == [heater]


def test_what_fits_no_part_of_a_section_of_several_belongs_to_the_head() -> None:
    motor, heater = machine_of("[motor+heater feeder]\nbeside = 1, 2\n").parts
    assert motor.get("offset") is not None
    assert heater.get("offset") is None


def test_a_section_that_nobody_understands_is_a_part_of_kind_other() -> None:
    machine = machine_of("[gizmo deluxe]\nwires = PA1\nmood = blue\n")
    (part,) = machine.parts
    assert (part.kind, part.title) == ("other", "gizmo deluxe")
    assert [one.name for one in part.unknown] == ["mood"]
    assert machine.pins[""]["PA1"][0].part is part


def test_a_setting_own_axis_counts_before_that_of_its_section() -> None:
    machine = machine_of("[motion]\nfast z = 12\nfast = 300\n[axis x]\nlow = 1\n")
    assert [one.axis for one in part_of(machine, "motion").meanings] == ["z", None]
    assert [one.axis for one in part_of(machine, "axis", "x").meanings] == ["x"]


def test_pieces_with_a_sense_of_their_own_are_meanings_at_their_place() -> None:
    text = "[fan air]\nheats = heater chamber, from 30 °C\n[heater chamber]\ncoil = PA1\n"
    machine = machine_of(text, {"heats": (("temp.trigger", "30 °C"),)})
    fan = part_of(machine, "fan", "air")
    heats, wakes = fan.get("ref.heater"), fan.get("temp.trigger")
    assert heats is not None
    assert wakes is not None
    assert heats.text == "heater chamber"
    assert (heats.place.line, heats.place.column, heats.place.end_column) == (2, 9, 23)
    assert wakes.amount == 30
    assert (wakes.place.line, wakes.place.column, wakes.place.end_column) == (2, 30, 35)


def test_a_sense_with_a_number_is_found_as_a_number_of_its_own() -> None:
    machine = machine_of("[axis x]\nhigh = -15 .. 5\n", {"high": (("travel.min", "5"),)})
    low = machine.parts[0].get("travel.min")
    assert low is not None
    assert low.place.column == 15


def test_a_piece_on_a_later_line_has_its_place_there() -> None:
    text = "[fan air]\nheats =\n    heater chamber,\n    30 °C\n[heater chamber]\n"
    machine = machine_of(text, {"heats": (("temp.trigger", "30 °C"),)})
    wakes = part_of(machine, "fan", "air").get("temp.trigger")
    assert wakes is not None
    assert (wakes.place.line, wakes.place.column) == (4, 5)


def test_the_one_value_that_is_left_is_read_again() -> None:
    machine = machine_of("[heater a]\nhottest = 65 °C, NTC\n", {"hottest": (("sensor.kind", "NTC"),)})
    hottest = machine.parts[0].get("temp.max")
    assert hottest is not None
    assert isinstance(hottest.value, Number)
    assert hottest.amount == 65


def test_an_empty_tree_is_an_empty_machine() -> None:
    machine = machine_of("")
    assert machine.parts == ()
    assert machine.references == ()
    assert machine.axes() == ()
