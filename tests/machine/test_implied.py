"""Links by equal names and axes that no setting states."""

from __future__ import annotations

import pytest

from cfgaudit.machine.model import Machine
from machine.readings import machine_of


def implied(machine: Machine) -> set[tuple[str, str]]:
    links = {(one.origin.title, one.target.title) for one in machine.references if one.implied and one.target}
    assert all(one.meaning is None and one.target is not None for one in machine.references if one.implied)
    return links


HEATERS = "[heater bed]\ncoil = PA1\n[heater nozzle]\ncoil = PA2\n"


@pytest.mark.parametrize(
    ("guards", "links"),
    [
        ("[guard bed]\n", {("guard bed", "heater bed")}),
        ("[guard Bed]\n", {("guard Bed", "heater bed")}),
        ("[guard bed nozzle]\n", {("guard bed nozzle", "heater bed"), ("guard bed nozzle", "heater nozzle")}),
        ("[guard all]\n", {("guard all", "heater bed"), ("guard all", "heater nozzle")}),
        ("[guard]\n", {("guard", "heater bed"), ("guard", "heater nozzle")}),
        ("[guard fire]\n", {("guard fire", "heater bed"), ("guard fire", "heater nozzle")}),
        ("[guard bed]\n[guard fire]\n", {("guard bed", "heater bed")}),
        ("[guard room]\n[sensor room]\n", set()),
        ("[guard bed]\nheats = nozzle\n", set()),
        ("[guard bed]\nheats = nozle\n", set()),
    ],
)
def test_a_guard_goes_with_the_heaters_that_it_names(guards: str, links: set[tuple[str, str]]) -> None:
    assert implied(machine_of(HEATERS + guards)) == links


def test_a_guard_in_a_heater_section_guards_that_heater_alone() -> None:
    machine = machine_of("[heater+guard bed]\ncoil = PA1\n[heater nozzle]\ncoil = PA2\n")
    assert implied(machine) == {("guard bed", "heater bed")}


def test_a_driver_goes_with_its_motor_and_a_motor_and_endstop_with_their_axis() -> None:
    machine = machine_of(
        "[axis x]\nlow = 0\n[motor x]\nstep = PA1\n[driver x]\nwires = PA2\n[endstop x]\nswitch = PA3\n"
    )
    assert implied(machine) == {("motor x", "axis x"), ("driver x", "motor x"), ("endstop x", "axis x")}


def test_a_driver_without_a_motor_part_goes_with_the_axis() -> None:
    assert implied(machine_of("[axis x]\nstep = PA1\n[driver x]\nwires = PA2\n")) == {("driver x", "axis x")}


def test_parts_of_one_section_need_no_link() -> None:
    assert implied(machine_of("[axis+motor+driver x]\nstep = PA1\n")) == set()


def test_a_heater_and_the_sensor_of_its_name_go_together_both_ways() -> None:
    machine = machine_of("[heater bed]\ncoil = PA1\n[sensor bed]\near = PA2\n")
    assert implied(machine) == {("heater bed", "sensor bed"), ("sensor bed", "heater bed")}


@pytest.mark.parametrize("line", ["ear = PA3", "feels = other"])
def test_a_heater_with_a_sensor_of_its_own_has_no_other(line: str) -> None:
    machine = machine_of(f"[heater bed]\n{line}\n[sensor bed]\near = PA2\n[sensor other]\near = PA4\n")
    assert implied(machine) == set()


@pytest.mark.parametrize("fan", ["fan nozzle", "fan nozzle heater", "fan near-nozzle", "fan nozzleCooler"])
def test_a_fan_goes_with_the_heater_in_its_name(fan: str) -> None:
    assert implied(machine_of(f"{HEATERS}[{fan}]\nblow = PA5\n")) == {(fan, "heater nozzle")}


def test_a_fan_with_another_name_goes_with_none() -> None:
    assert implied(machine_of(f"{HEATERS}[fan embedded]\nblow = PA5\n[fan part]\nblow = PA6\n")) == set()


def test_shapers_and_accelerometers_go_with_their_axis() -> None:
    machine = machine_of("[axis x]\nlow = 0\n[axis y]\nlow = 0\n[shaper x]\n[accelerometer y]\n[shaper]\n")
    assert implied(machine) == {("shaper x", "axis x"), ("accelerometer y", "axis y")}
