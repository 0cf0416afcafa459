"""Whether a value may be what a role asks for. The trade's practice; units as the SI brochure writes them."""

from __future__ import annotations

from collections.abc import Mapping

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cfgaudit.syntax.read_value import read_value
from cfgaudit.vocabulary.catalogue import ROLES
from cfgaudit.vocabulary.shapes import SHAPES, Fit, fit

NAMES: Mapping[str, frozenset[str]] = {
    "bed": frozenset({"heater"}),
    "zone plug": frozenset({"alias"}),
    "main": frozenset({"board"}),
}


def resolves(text: str) -> frozenset[str]:
    return NAMES.get(text, frozenset())


def fits(role: str, text: str) -> Fit:
    return fit(role, text, read_value(text), ROLES[role], resolves)


@pytest.mark.parametrize(
    ("role", "text", "expected"),
    [
        ("pin.step", "PA1", Fit.STATED),
        ("pin.step", "main.PA1", Fit.STATED),
        ("pin.step", "!gpio14", Fit.STATED),
        ("pin.step", "PA1, pull-up", Fit.STATED),
        ("pin.step", "zone plug", Fit.GOOD),
        ("pin.step", "12", Fit.WEAK),
        ("pin.step", "spare", Fit.WEAK),
        ("pin.step", "12 mm", Fit.NO),
        ("pin.step", "1:3", Fit.NO),
        ("pin.step", "yes", Fit.NO),
        ("pin.step", "bed", Fit.NO),
        ("temp.max", "120 °C", Fit.STATED),
        ("temp.max", "120 C", Fit.STATED),
        ("temp.max", "120", Fit.GOOD),
        ("temp.max", "120 mm", Fit.NO),
        ("temp.max", "hot", Fit.NO),
        ("temp.max", "PA1", Fit.NO),
        ("travel.max", "300 mm", Fit.STATED),
        ("travel.max", "300", Fit.GOOD),
        ("travel.max", "-2.5", Fit.GOOD),
        ("travel.max", "30 cm", Fit.STATED),
        ("travel.max", "300 mm/s", Fit.NO),
        ("travel.max", "0 .. 300", Fit.GOOD),
        ("travel.max", "0 .. 300 mm", Fit.STATED),
        ("travel.max", "0 .. 300 Hz", Fit.NO),
        ("travel.max", "0, 300", Fit.WEAK),
        ("travel.max", "0, 300 °C", Fit.NO),
        ("power.max", "10 .. 90", Fit.WEAK),
        ("travel.max", "front, back", Fit.NO),
        ("speed.max", "200 mm/s", Fit.STATED),
        ("speed.max", "12 m/min", Fit.STATED),
        ("accel.max", "3000 mm/s²", Fit.STATED),
        ("accel.max", "200 mm/s", Fit.NO),
        ("current.run", "800 mA", Fit.STATED),
        ("sensor.pullup", "4.7k", Fit.STATED),
        ("sensor.pullup", "4.7K", Fit.GOOD),
        ("guard.time", "20 s", Fit.STATED),
        ("guard.rise", "2 °C/min", Fit.GOOD),
        ("power.max", "80 %", Fit.STATED),
        ("power.max", "0.8", Fit.GOOD),
        ("power.max", "80", Fit.WEAK),
        ("power.rating", "0.5", Fit.WEAK),
        ("offset", "10, 20", Fit.GOOD),
        ("offset", "10 x 20", Fit.GOOD),
        ("offset", "10", Fit.GOOD),
        ("offset", "left", Fit.NO),
        ("gear.ratio", "1:3", Fit.STATED),
        ("gear.ratio", "3", Fit.GOOD),
        ("gear.ratio", "brass", Fit.NO),
        ("steps.micro", "16", Fit.GOOD),
        ("steps.micro", "1/16", Fit.STATED),
        ("sensor.kind", "NTC 100k", Fit.GOOD),
        ("sensor.kind", "PA1", Fit.NO),
        ("sensor.kind", "zone plug", Fit.NO),
        ("sensor.kind", "3", Fit.NO),
        ("driver.model", "2209", Fit.WEAK),
        ("ref.heater", "bed", Fit.STATED),
        ("ref.sensor", "bed", Fit.GOOD),
        ("ref.heater", "nothing known", Fit.WEAK),
        ("ref.heater", "PA1", Fit.NO),
        ("ref.heater", "120", Fit.NO),
        ("ref.heater", "yes", Fit.NO),
        ("ref.heater", "zone plug", Fit.NO),
        ("macro.body", "G28\nG1 X5", Fit.STATED),
        ("macro.body", "G28", Fit.GOOD),
        ("macro.body", "12", Fit.NO),
        ("home.direction", "min", Fit.GOOD),
        ("home.direction", "-1", Fit.GOOD),
        ("home.direction", "yes", Fit.GOOD),
        ("home.direction", "120", Fit.NO),
        ("home.direction", "1, 2", Fit.NO),
        ("board.address", "0x1f", Fit.GOOD),
        ("board.address", "a7b3", Fit.GOOD),
        ("temp.max", "{limit}", Fit.GOOD),
        ("temp.max", "", Fit.WEAK),
    ],
)
def test_a_value_fits_a_role_as_well_as_its_shape_and_unit_do(role: str, text: str, expected: Fit) -> None:
    assert fits(role, text) is expected


def test_there_is_a_shape_for_every_role() -> None:
    assert {spec.shape for spec in ROLES.values()} - {"name"} == set(SHAPES)


@given(st.sampled_from(sorted(ROLES)), st.text(max_size=40))
def test_any_value_can_be_held_to_any_role(role: str, text: str) -> None:
    assert fits(role, text) in Fit


NUMBERS = [role for role in sorted(ROLES) if ROLES[role].shape == "number"]


@given(st.sampled_from(NUMBERS), st.floats(-1e6, 1e6))
def test_a_bare_number_may_be_any_number(role: str, amount: float) -> None:
    assert fits(role, f"{amount:.6f}") is not Fit.NO
