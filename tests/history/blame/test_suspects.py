"""Which change is to blame. What causes what is common practice, no source, unless something else is said."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.checks.finding import Severity
from cfgaudit.history.blame.suspects import rank
from cfgaudit.history.blame.symptoms import load_symptom, symptom_names
from cfgaudit.history.change import Change, ChangeKind
from cfgaudit.vocabulary.catalogue import PART_KINDS, ROLES
from history.change_making import accel, change, finding, moves


def first(symptom: str, *changes: Change, axis: str | None = None) -> Change:
    """The likeliest of several changes; the innocent stand before it on purpose."""
    return rank(changes, load_symptom(symptom), axis=axis)[0].change


def blamed(symptom: str, one: Change) -> bool:
    return bool(rank([one], load_symptom(symptom)))


INNOCENT = (
    change("heater bed:hottest", "110 °C", "105 °C", role="temp.max", part="heater"),
    change("light door:glow", "80 %", "60 %", role="power.max", part="light"),
    change("axis x:end", "490 mm", "491 mm", role="travel.max", part="axis", axis="x"),
)

CURRENT = change("driver x:run", "1.2 A", "0.5 A", role="current.run", part="driver", axis="x")
PER_TURN = change("feeder:per turn", "34.5 mm", "41 mm", role="travel.turn", part="motor", axis="e")
PROBE_Z = change("probe:z", "1.85 mm", "2.05 mm", role="offset", part="probe", axis="z")
GUARD = change("guard chamber", "", None, part="guard")
SWITCH = change("endstop x:signal", "PB12", "!PB12", role="pin.endstop", part="endstop", axis="x")
STEP = change("motor x:step", "PE2", "PE3", role="pin.step", part="motor", axis="x")
LINK = change("board head:speed", "500000", "1000000", role="board.bitrate", part="board")
COARSE = change("motor x:micro", "64", "8", role="steps.micro", part="motor", axis="x")
SHAPER = change("shaper y", "", None, part="shaper", axis="y")


@pytest.mark.parametrize(
    ("symptom", "culprit"),
    [
        ("ringing", accel("y", "4500", "50000")),
        ("ringing", SHAPER),
        ("layer-shift", CURRENT),
        ("skipped-steps", CURRENT),
        ("thin-walls", PER_TURN),
        ("first-layer", PROBE_Z),
        ("thermal-fault", GUARD),
        ("homing-fault", SWITCH),
        ("no-motion", STEP),
        ("comms-lost", LINK),
        ("noise", COARSE),
    ],
)
def test_the_usual_culprit_comes_first(symptom: str, culprit: Change) -> None:
    assert first(symptom, *INNOCENT, culprit) == culprit


@pytest.mark.parametrize(
    ("symptom", "guilty", "innocent"),
    [
        ("ringing", ("5000", "9000"), ("9000", "5000")),
        ("layer-shift", ("5000", "9000"), ("9000", "5000")),
        ("skipped-steps", ("5000", "9000"), ("9000", "5000")),
    ],
)
def test_a_lower_acceleration_causes_none_of_this(
    symptom: str, guilty: tuple[str, str], innocent: tuple[str, str]
) -> None:
    assert blamed(symptom, accel("x", *guilty))
    assert not blamed(symptom, accel("x", *innocent))


def test_the_extruders_acceleration_shakes_no_frame() -> None:
    assert not blamed("ringing", accel("e", "1500", "5000"))


def test_the_bigger_of_two_changes_ranks_higher() -> None:
    small, big = accel("x", "5000", "6500"), accel("y", "4500", "50000")
    assert first("ringing", small, big) == big
    assert first("ringing", big, small) == big


@given(st.floats(1.01, 1e4), st.floats(1.01, 1e4))
@settings(max_examples=60, deadline=None)
def test_no_bigger_change_counts_less(one: float, other: float) -> None:
    scores = [
        rank([accel("x", "1000", f"{1000 * times:.6f}")], load_symptom("ringing"))[0].score
        for times in sorted((one, other))
    ]
    assert 0.3 <= scores[0] <= scores[1] <= 1


def test_units_are_read() -> None:
    same = rank([accel("x", "5 m/s²", "50 m/s²")], load_symptom("ringing"))
    assert [one.score for one in same] == [
        one.score for one in rank([accel("x", "5000", "50000")], load_symptom("ringing"))
    ]


def test_a_change_without_effect_is_nearly_none_and_says_so() -> None:
    (hidden,) = rank([accel("y", "4500", "50000", effective=False)], load_symptom("ringing"))
    assert hidden.score < 0.05
    assert hidden.word == "faint"
    assert "no effect" in hidden.reason


def test_a_named_axis_puts_the_others_behind() -> None:
    x, y = accel("x", "5000", "7000"), accel("y", "4500", "50000")
    assert first("ringing", x, y) == y
    assert first("ringing", x, y, axis="x") == x
    machine_wide = accel(None, "5000", "7000")
    ranked = rank([machine_wide, y], load_symptom("ringing"), axis="x")
    assert [one.change for one in ranked] == [machine_wide, y], "what counts for all axes counts for this one"


def test_layers_shift_along_x_and_y_unless_z_is_asked_for() -> None:
    """By the symptom's own words; z carries no such jolt."""
    lift = change("driver z:run", "1.2 A", "0.5 A", role="current.run", part="driver", axis="z")
    quick = accel("z", "100", "1000")
    rate = moves("axis.z.step_rate_share", "1", 0.1, 0.9)
    finer = change(
        "motor z:micro", "8", "64", role="steps.micro", part="motor", axis="z", consequences=(rate,)
    )
    for one in (lift, quick, finer):
        assert not blamed("layer-shift", one)
    ranked = rank([CURRENT, lift, quick, finer], load_symptom("layer-shift"), axis="z")
    assert {one.change for one in ranked[:3]} == {lift, quick, finer}
    assert all(one.score > 0.3 for one in ranked[:3])
    assert ranked[3].change == CURRENT


def test_what_no_cause_speaks_of_is_no_suspect() -> None:
    assert not rank(INNOCENT, load_symptom("ringing"))


def test_a_rename_alone_causes_nothing() -> None:
    renamed = change("shaper y", "", "", part="shaper", axis="y", kind=ChangeKind.RENAMED)
    assert not any(blamed(symptom, renamed) for symptom in symptom_names())


def test_a_change_can_be_blamed_for_the_facts_that_it_moves() -> None:
    """A longer shaper band at another place: the setting's own role says nothing."""
    odd = change(
        "tuning:mode", "a", "b", consequences=(moves("axis.x.shaper_band", "Hz", (40.0, 50.0), (60.0, 75.0)),)
    )
    (found,) = rank([odd], load_symptom("ringing"))
    assert found.reason.endswith("axis x quietens was 40 to 50 Hz and is 60 to 75 Hz")
    still = change("tuning:mode", "a", "b", consequences=(moves("axis.x.travel", "mm", 400.0, 300.0),))
    assert not blamed("ringing", still)


def test_a_fact_counts_in_its_own_direction() -> None:
    less = change(
        "motor feeder:gear", "3", "4", consequences=(moves("axis.e.steps_per_mm", "1/mm", 400.0, 300.0),)
    )
    more = change(
        "motor feeder:gear", "3", "4", consequences=(moves("axis.e.steps_per_mm", "1/mm", 300.0, 400.0),)
    )
    assert blamed("thin-walls", less)
    assert not blamed("thin-walls", more)


def test_a_change_can_be_blamed_for_the_finding_that_it_brings() -> None:
    placed = change(
        "axis x:home", "-5", "-9", role="home.position", part="axis", axis="x",
        findings=(finding("home-outside-travel", "x homes to -9 mm, outside its travel"),),
    )  # fmt: skip
    (found,) = rank([placed], load_symptom("homing-fault"))
    assert found.word == "strong"
    assert "x homes to -9 mm" in found.reason


def test_a_finding_that_stands_elsewhere_counts_less() -> None:
    """``change_making`` puts changes and findings at one place."""
    here = finding("home-overrun")
    elsewhere = here._replace(where=here.where._replace(line=99, end_line=99))
    near, far = (
        rank([change("axis x:a", "1", "2", findings=(one,))], load_symptom("homing-fault"))[0].score
        for one in (here, elsewhere)
    )
    assert near > far > 0


def test_a_number_that_is_none_any_more_is_suspect() -> None:
    comma = change("motion:corner", "6 mm/s", "6,5 mm/s", role="speed.corner", part="motion")
    assert blamed("ringing", comma)


def test_ties_go_by_severity_then_by_address() -> None:
    b, a = accel("b", "5000", "9000"), accel("a", "5000", "9000")
    worse = accel("c", "5000", "9000", severity=Severity.DANGER)
    assert [one.change.axis for one in rank([b, a, worse], load_symptom("ringing"))] == ["c", "a", "b"]


def test_a_raised_current_is_not_told_to_be_too_little() -> None:
    raised = change("driver x:run", "0.7 A", "1.7 A", role="current.run", part="driver", axis="x")
    assert "too little" in rank([CURRENT], load_symptom("homing-fault"))[0].reason
    assert "too little" not in rank([raised], load_symptom("homing-fault"))[0].reason


def test_gears_and_microsteps_are_numbers() -> None:
    """60 driven over 16 driving teeth are 3.75, 48 over 12 are 4: the wheel turns less a step, not more."""
    gear = change("feeder:gear", "60:16", "48:16", role="gear.ratio", part="motor", axis="e")
    assert "20 % lower" in rank([gear], load_symptom("thin-walls"))[0].reason
    finer = change("motor x:micro", "1/16", "1/64", role="steps.micro", part="motor", axis="x")
    assert not blamed("noise", finer)


values = st.one_of(
    st.none(), st.sampled_from(["", "5", "5 mm", "1,5", "-3", "0", "80:20", "off", "a\nb", "{x}", "1 .. 4"])
)


@given(
    st.sampled_from(symptom_names()),
    st.sampled_from([None, *sorted(ROLES)]),
    st.sampled_from(["", *sorted(PART_KINDS)]),
    st.sampled_from([None, "x", "z", "e"]),
    values,
    values,
    st.sampled_from(["x:y", "x", "a b:c {part}"]),
)
@settings(max_examples=300, deadline=None)
def test_any_change_gets_a_score_and_a_reason_of_one_line(
    symptom: str,
    role: str | None,
    part: str,
    axis: str | None,
    before: str | None,
    after: str | None,
    address: str,
) -> None:
    if before is None and after is None:
        return
    for one in rank([change(address, before, after, role=role, part=part, axis=axis)], load_symptom(symptom)):
        assert 0 < one.score <= 1
        assert one.reason
        assert "\n" not in one.reason
