"""The table of what changes weigh: it speaks of every role, and the grave ones are grave."""

from __future__ import annotations

import re

import pytest

from cfgaudit.checks.finding import Severity
from cfgaudit.data import data_folder
from cfgaudit.history.comparing.compare import CONCERNS
from cfgaudit.history.comparing.weights import DIRECTIONS, FILE, load_weights
from cfgaudit.own_toml import parse_own_toml
from cfgaudit.vocabulary.catalogue import AXES, PART_KINDS, ROLES

EXTRA = {"fan-at-heater", "sensor-at-heater", "feeder", *(f"axis-{letter}" for letter in AXES)}
WEIGHTS = load_weights()
TABLE = parse_own_toml((data_folder("rules") / FILE).read_text(encoding="utf-8"))

UP = ("raised", "removed", "changed")
NEVER_NOTES = [
    # role, part, direction
    *[("temp.max", part, way) for part in ("heater", "sensor-at-heater") for way in UP],
    *[("guard.rise", "guard", way) for way in ("lowered", "removed", "changed")],
    *[(role, "guard", way) for role in ("guard.time", "guard.band") for way in UP],
    *[("ref.heater", part, way) for part in ("fan", "guard") for way in ("removed", "changed")],
    ("ref.fan", "heater", "removed"),
    *[("temp.trigger", "fan-at-heater", way) for way in UP],
    *[(role, "", "inverted") for role in ROLES if role.startswith("pin.")],
    ("travel.min", "axis", "lowered"),
    ("travel.max", "axis", "raised"),
    *[(role, "driver", "raised") for role in ("current.run", "current.hold")],
    ("power.max", "heater", "raised"),
    *[(role, "heater", way) for role in ("sensor.kind", "sensor.pullup") for way in ("raised", "changed")],
    *[("home.position", "axis", way) for way in ("raised", "lowered", "changed")],
    ("home.direction", "axis", "changed"),
    ("accel.max", "axis", "raised"),
    *[
        (role, "motor", way)
        for role in ("gear.ratio", "travel.turn", "steps.full", "steps.micro")
        for way in ("raised", "lowered", "changed")
    ],
]  # fmt: skip

DANGERS = [
    ("temp.max", "heater", "removed"),
    ("guard.rise", "guard", "removed"),
    ("ref.heater", "fan", "removed"),
    ("ref.heater", "guard", "removed"),
    ("pin.endstop", "endstop", "inverted"),
    ("pin.endstop", "endstop", "removed"),
    ("pin.probe", "probe", "inverted"),
    ("pin.heater", "heater", "inverted"),
    ("pin.sensor", "heater", "changed"),
    ("sensor.kind", "heater", "changed"),
    ("travel.min", "axis", "lowered"),
    ("travel.max", "axis", "raised"),
    ("home.direction", "axis", "changed"),
]


@pytest.mark.parametrize("role", sorted(ROLES))
def test_every_role_is_weighed_in_every_part_and_direction(role: str) -> None:
    assert WEIGHTS.concerns[role] in CONCERNS
    for part in ROLES[role].parts:
        for direction in DIRECTIONS:
            assert WEIGHTS.of(role, (part,), direction) is not None
    own = [entry for entry in TABLE["setting"] if role in entry["roles"] and "parts" not in entry]
    assert [set(entry) for entry in own if "concern" in entry], "one entry for any part"
    assert {"added", "removed", "changed"} <= {key for entry in own for key in entry}


@pytest.mark.parametrize("kind", sorted(PART_KINDS))
def test_every_kind_of_section_is_weighed(kind: str) -> None:
    assert WEIGHTS.section_concerns[kind] in CONCERNS
    assert (kind, "removed") in WEIGHTS.sections
    assert (kind, "added") in WEIGHTS.sections


@pytest.mark.parametrize(("role", "part", "direction"), NEVER_NOTES)
def test_what_may_do_harm_is_never_a_note(role: str, part: str, direction: str) -> None:
    weight = WEIGHTS.of(role, (part,), direction)
    assert weight is not None
    assert weight.severity is not Severity.NOTE


@pytest.mark.parametrize(("role", "part", "direction"), DANGERS)
def test_what_can_burn_crash_or_hurt_is_a_danger(role: str, part: str, direction: str) -> None:
    weight = WEIGHTS.of(role, (part,), direction)
    assert weight is not None
    assert weight.severity is Severity.DANGER


@pytest.mark.parametrize("kind", ["light", "servo"])
def test_what_is_no_heater_is_no_matter_of_heat(kind: str) -> None:
    """Its share of power, its pace, its voltage; what it starts at is a temperature."""
    roles = [role for role in ("power.max", "pwm.frequency", "volts") if kind in ROLES[role].parts]
    assert {WEIGHTS.concern(role, (kind,)) for role in roles} == {WEIGHTS.section_concerns[kind]}
    assert {WEIGHTS.concern(role, ("heater",)) for role in roles} == {"heat"}


def test_a_concern_of_a_kind_is_one_that_there_is() -> None:
    assert WEIGHTS.part_concerns
    assert set(WEIGHTS.part_concerns.values()) <= set(CONCERNS)


def test_the_table_names_only_what_there_is() -> None:
    for entry in TABLE["setting"]:
        assert set(entry["roles"]) <= {*ROLES, "alias"}
        assert set(entry.get("parts", [])) <= PART_KINDS | EXTRA
        assert set(entry) <= {"roles", "parts", "concern", *DIRECTIONS}
        for role in set(entry["roles"]) & set(ROLES):
            assert set(entry.get("parts", [])) - EXTRA <= ROLES[role].parts, role
    for entry in TABLE["section"]:
        assert set(entry["parts"]) <= PART_KINDS | EXTRA


def test_what_is_lacking_is_named_by_rules_parts_and_roles_that_there_are() -> None:
    rules = {path.stem for path in data_folder("rules").glob("*/*.toml")}
    assert set(TABLE["lacking"]) <= rules
    for missed in TABLE["lacking"].values():
        assert set(missed) <= {*PART_KINDS, *ROLES}


def test_every_clause_is_one_and_knows_its_words() -> None:
    """A change is a warning or worse only with a reason; what is much has its bound and its source."""
    for (role, part, direction), weight in {**WEIGHTS.settings}.items():
        for why in (weight.why, *(much.why for much in weight.much)):
            assert not why.endswith("."), (role, part, direction)
            assert set(re.findall(r"{(\w+)}", why)) <= {"part", "heater"}
        assert weight.why or weight.severity is Severity.NOTE, (role, part, direction)
        for much in weight.much:
            assert (much.by is None) != (much.times is None)
            assert much.source
            assert much.severity.rank < weight.severity.rank
        bounds = [much.by or much.times or 0.0 for much in weight.much]
        assert bounds == sorted(bounds, reverse=True), "the graver the further"


def test_much_counts_from_its_bound_on() -> None:
    """``times`` in either direction; from nothing to something is without end."""
    accel = WEIGHTS.of("accel.max", ("axis",), "raised")
    assert accel is not None
    danger, warning = Severity.DANGER, Severity.WARNING
    for before, after, severity in [(1000, 3000, danger), (1000, 2999, warning), (0, 1, danger)]:
        assert accel.reached(before, after)[0] is severity
    offset = WEIGHTS.of("offset", ("axis-z", "probe"), "lowered")
    assert offset is not None
    for after, severity in [(1.86, Severity.NOTE), (1.79, warning), (0.8, danger)]:
        assert offset.reached(1.87, after)[0] is severity
    assert offset.reached(None, 1.0)[0] is Severity.NOTE
