"""Questions to a machine: axes, and who goes with whom."""

from __future__ import annotations

from machine.readings import machine_of, part_of

TEXT = """
[axis y]
high = 200
[axis x]
high = 300
push = 2000
[motor x]
round = 40
[motor+heater feeder]
step = PA1
feels = melt
[sensor melt]
ear = PA2
[motion]
fast = 250
fast z = 12
push = 3000
[fan cool]
heats = feeder
"""


def test_axes_come_in_the_order_of_the_trade() -> None:
    assert [axis.letter for axis in machine_of(TEXT).axes()] == ["x", "y", "z"]


def test_an_axis_is_seen_through_every_section_that_has_to_do_with_it() -> None:
    axis = machine_of(TEXT).axis("x")
    assert [part.kind for part in axis.parts()] == ["axis", "motor"]
    assert [part.kind for part in axis.parts("motor")] == ["motor"]
    assert axis.amount("travel.turn") == 40


def test_machine_wide_limits_count_where_an_axis_states_none() -> None:
    machine = machine_of(TEXT)
    assert machine.axis("x").amount("accel.max") == 2000
    assert machine.axis("y").amount("accel.max") == 3000
    assert machine.axis("z").amount("speed.max") == 12
    assert machine.axis("x").amount("speed.max") == 250
    assert machine.axis("x").own("speed.max") is None
    assert machine.axis("e").find("speed.max") is None


def test_an_axis_part_counts_before_a_motor() -> None:
    machine = machine_of("[motor x]\nhigh = 1\n[axis x]\nhigh = 2\n")
    assert machine.axis("x").amount("travel.max") == 2


def test_references_are_found_from_both_ends() -> None:
    machine = machine_of(TEXT)
    motor, heater = part_of(machine, "motor", "feeder"), part_of(machine, "heater", "feeder")
    sensor, fan = part_of(machine, "sensor", "melt"), part_of(machine, "fan", "cool")
    assert [one.target for one in machine.from_part(motor)] == [sensor]
    assert list(machine.to_part(sensor)) == [heater]
    assert list(machine.to_part(sensor, "motor")) == [motor]
    assert list(machine.to_part(sensor, "fan")) == []
    assert list(machine.to_part(heater, "fan")) == [fan]


def test_partners_are_mates_and_parts_linked_either_way() -> None:
    machine = machine_of(TEXT)
    heater = part_of(machine, "heater", "feeder")
    assert machine.partners(heater, "sensor") == (part_of(machine, "sensor", "melt"),)
    assert machine.partners(heater, "fan") == (part_of(machine, "fan", "cool"),)
    assert machine.partners(heater, "motor") == (part_of(machine, "motor", "feeder"),)
    assert machine.partners(part_of(machine, "sensor", "melt"), "heater") == (heater,)


def test_kinds_come_in_the_order_of_the_sections() -> None:
    machine = machine_of(TEXT)
    assert [part.name for part in machine.kind("axis")] == ["y", "x"]
    assert [part.kind for part in machine.kind("fan", "axis")] == ["axis", "axis", "fan"]
    assert list(machine.kind("servo")) == []


def test_roles_are_found_by_prefix_and_axis() -> None:
    part = part_of(machine_of("[motion]\nfast z = 1\nfast = 2\npush = 3\n"), "motion")
    assert [one.text for one in part.all("speed.")] == ["1", "2"]
    assert [one.text for one in part.all("speed.max", "z")] == ["1"]
    assert part.get("travel.") is None
