"""Facts as a whole: names, order, and the pins of boards."""

from __future__ import annotations

from machine.readings import machine_of

from cfgaudit.facts.compute import compute_facts
from cfgaudit.facts.fact import Fact, Facts


def test_a_fact_is_found_by_its_name_and_by_a_pattern() -> None:
    facts = Facts((Fact("axis.x.travel", 1.0, "mm", ()), Fact("axis.y.travel", 2.0, "mm", ())))
    found = facts.get("axis.y.travel")
    assert found is not None
    assert found.value == 2.0
    assert facts.get("axis.z.travel") is None
    assert [one.value for one in facts.matching("axis.*.travel")] == [1.0, 2.0]


def test_a_part_is_one_piece_of_the_name_whatever_it_is_called() -> None:
    text = "[heater Build Plate 2.0]\nwatts = 10\n[heater]\nwatts = 20\n"
    names = [fact.name for fact in compute_facts(machine_of(text)).matching("heater.*.watts")]
    assert names == ["heater.build-plate-2-0.watts", "heater.heater.watts"]


def test_a_pin_with_two_users_is_one_pin_and_a_rail_is_none() -> None:
    heaters = "[board main]\n[heater a]\ncoil = main.PA1\n[heater b]\ncoil = pa_1\n"
    text = heaters + "[light c]\nwires = <5V>\n[fan d]\nblow = PA2\n[light e]\nwires = somewhere\n"
    used = compute_facts(machine_of(text)).get("board.main.pins_used")
    assert used is not None
    assert used.value == 2


def test_facts_come_in_the_same_order_every_time() -> None:
    mesh = "[mesh]\nnear = 0, 0\nfar = 1, 1\nknots = 2\n"
    text = f"[board main]\n[heater a]\nwatts = 9\n[axis x]\nlow = 0\nhigh = 1\n{mesh}"
    names = [fact.name for fact in compute_facts(machine_of(text)).facts]
    assert names == ["axis.x.travel", "mesh.mesh.points", "heater.a.watts", "board.main.pins_used"]


def test_a_machine_without_anything_has_no_facts() -> None:
    assert compute_facts(machine_of("")).facts == ()
