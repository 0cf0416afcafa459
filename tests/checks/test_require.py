"""Rules without code: what a ``require`` table asks, and how a wrong one is refused."""

from __future__ import annotations

import pytest

from cfgaudit.checks.cards import CardError, read_head
from cfgaudit.checks.compare import holds
from cfgaudit.checks.rule import format_amount, format_several
from checks.structure_only import check_structure

MACHINE = """
[axis x]
lowest = 0
highest = 300
top speed = 250

[axis y]
lowest = -10
highest = 200

[heater bed]
drive = PA1
thermometer = PA2, NTC 100k
lowest = 5
highest = 110

[motor x]
axis = x
full steps = 200
microsteps = 16
travel per turn = 40

[motor y]
axis = y
full steps = 200
microsteps = 16
travel per turn = 32
"""


def found(require: str, more: str = "", machine: str = MACHINE) -> list[tuple[int, str]]:
    house = f"""
    [[rule]]
    name = "ours"
    title = "A rule of our own"
    severity = "warning"
    advice = "Look at it."
    require = {{ {require} }}
    {more}
    """
    findings = check_structure(machine, house)
    return [(one.where.line, one.message) for one in findings.findings if one.rule == "ours"]


def lines(require: str, more: str = "", machine: str = MACHINE) -> list[int]:
    return [line for line, _ in found(require, more, machine)]


@pytest.mark.parametrize(
    ("require", "expected"),
    [
        ('role = "travel.max", at_most = 250', [4]),
        ('role = "travel.max", at_most = 300', []),
        ('role = "travel.max", below = 300', [4]),
        ('role = "travel.max", at_least = 300', [9]),
        ('role = "travel.max", above = 200', [9]),
        ('role = "travel.max", between = [200, 300]', []),
        ('role = "travel.max", between = [200, 299]', [4]),
        ('role = "travel.max", one_of = [200, 350]', [4]),
        ('role = "travel.max", axis = "y", at_least = 300', [9]),
        ('role = "travel.max", part = "heater", at_least = 1000', []),
        ('role = "travel.min", below = "travel.max"', []),
        ('role = "travel.min", above = "travel.max"', [3, 8]),
        ('role = "travel.max", at_least = 250, at_most = 299', [4, 9]),
        ('role = "speed.max", part = "axis", exists = true', [7]),
        ('role = "temp.max", part = "heater", exists = true', []),
    ],
)
def test_settings_are_compared(require: str, expected: list[int]) -> None:
    assert lines(require) == expected


def test_a_limit_of_the_rule_is_compared_with() -> None:
    limit = '[rule.limits]\nmost = { value = 100, unit = "°C", source = "our rule" }'
    assert found('role = "temp.max", at_most = "most"', limit) == [
        (15, "heater bed: highest is 110, more than 100 °C".replace("heater bed", "heater bed"))
    ]


def test_facts_are_compared() -> None:
    """Common practice, no source: 200 steps, 16 microsteps, 40 mm a turn are 80 steps a millimetre."""
    told = found('fact = "axis.*.steps_per_mm", at_most = 80')
    assert len(told) == 1
    assert "axis.y.steps_per_mm is 100" in told[0][1]
    assert "more than 80" in told[0][1]


@pytest.mark.parametrize(
    ("require", "expected"),
    [
        ('role = "speed.max", at_most = "axis.*.travel"', []),
        ('role = "speed.max", at_most = "axis.y.travel"', [5]),
        ('role = "travel.turn", at_most = "axis.x.step_size"', [21, 27]),
        ('role = "temp.max", at_most = "axis.*.travel"', []),
        ('fact = "axis.*.travel", at_most = "axis.*.steps_per_mm"', [3, 8]),
        ('fact = "axis.*.travel", at_most = ["axis.*.nothing", 250]', [3]),
        ('fact = "axis.*.travel", at_most = ["axis.*.steps_per_mm", 500]', [3, 8]),
        ('fact = "axis.*.travel", at_most = "axis.*.nothing"', []),
        ('role = "travel.min", above = 5', [3, 8]),
        ('role = "travel.min", above = 5, off = 0', [8]),
        ('role = "travel.min", above = 5, off = [0, -10]', []),
    ],
)
def test_settings_and_facts_are_compared_with_facts(require: str, expected: list[int]) -> None:
    assert lines(require) == expected


def test_a_message_over_facts_says_what_it_came_from_and_what_would_do() -> None:
    """250 mm/s at 80 steps/mm are 20 000 steps a second; 16 000 are 200 mm/s."""
    message = 'message = "{part} ({axis}) at {speed.max}: {value}, not {limit}, {keeps} would do"'
    told = found(f'fact = "axis.x.step_rate", at_most = 16000, {message}')
    assert told == [(5, "axis x (x) at 250 mm/s: 20000 1/s, not 16000 1/s, 200 would do")]


@pytest.mark.parametrize(
    ("comparison", "told"),
    [
        ("at_most = 15999", "199"),
        ("at_least = 20001", "251"),
        ("below = 0", "less"),
        ("between = [1, 2]", "more"),
    ],
)
def test_what_would_do_is_rounded_to_the_side_that_does(comparison: str, told: str) -> None:
    message = 'message = "{keeps}"'
    assert found(f'fact = "axis.x.step_rate", {comparison}, {message}') == [(5, told)]


def test_a_fact_is_compared_as_it_is_written() -> None:
    message = 'message = "{value} of {limit}"'
    size = 'fact = "axis.x.step_size", at_most = 0.0124'
    assert found(f"{size}, {message}") == [(19, "0.0125 mm of 0.0124 mm")]
    assert found(f"{size}, decimals = 2, {message}") == []
    assert found(f'fact = "axis.x.step_size", at_most = 0.01, decimals = 3, {message}') == [
        (19, "0.013 mm of 0.010 mm")
    ]


def test_a_fact_that_nothing_gives_is_told() -> None:
    house = """
    [[rule]]
    name = "ours"
    title = "A rule of our own"
    severity = "warning"
    advice = "Look at it."
    require = { fact = "axis.*.nothing", at_most = 1 }
    """
    skipped = check_structure(MACHINE, house).skipped
    assert [one.reason for one in skipped if one.rule == "ours"] == [
        "nothing here gives the fact axis.*.nothing"
    ]


def test_a_role_that_must_exist_is_not_missed_among_unknown_settings() -> None:
    unknown = MACHINE.replace("highest = 200", "highest = 200\nwhoosh = 12")
    assert lines('role = "speed.max", part = "axis", exists = true', machine=unknown) == []


def test_the_message_is_filled() -> None:
    message = "message = '{part} goes to {value}, {breach}'"
    told = found(f'role = "travel.max", axis = "x", at_most = 250, {message}')
    assert told == [(4, "axis x goes to 300, more than 250 mm")]


HEAD = {"title": "t", "severity": "note", "why": "w", "advice": "a", "source": "s"}


@pytest.mark.parametrize(
    ("require", "part"),
    [
        ({}, "either fact or role"),
        ({"fact": "a", "role": "temp.max", "at_most": 1}, "either fact or role"),
        ({"role": "temp.max"}, "a comparison"),
        ({"role": "temp.max", "at_most": 1, "exists": True, "part": "heater"}, "a comparison"),
        ({"role": "temp.mx", "at_most": 1}, "did you mean temp.max?"),
        ({"role": "temp.max", "part": "haeter", "at_most": 1}, "did you mean heater?"),
        ({"role": "temp.max", "axis": "q", "at_most": 1}, "axis must be one of"),
        ({"fact": "axis.*.travel", "part": "axis", "at_most": 1}, "go with role"),
        ({"role": "temp.max", "exists": True}, "the kind of part"),
        ({"role": "temp.max", "at_mst": 1}, "did you mean at_most?"),
        ({"role": "temp.max", "at_most": "limit"}, "no limit of the rule"),
        ({"role": "temp.max", "at_most": True}, "is no number"),
        ({"role": "temp.max", "at_most": [1, 2]}, "one value"),
        ({"role": "temp.max", "between": [1]}, "[low, high]"),
        ({"role": "temp.max", "at_most": 1, "message": "{valu} is wrong"}, "{valu}"),
        ({"fact": "axis.*.travel", "at_most": ["most", "axis.*.travel"]}, "one value"),
        ({"fact": "axis.*.travel", "at_most": []}, "one value"),
        ({"fact": "wheel.*.travel", "at_most": "wheel.*.size"}, "no fact"),
        ({"fact": "axis.*.travel", "at_most": 1, "off": 0}, "goes with role"),
        ({"role": "temp.max", "at_most": 1, "off": "none"}, "off must be a number"),
        ({"role": "temp.max", "at_most": 1, "decimals": 1.5}, "decimals a digit"),
        ({"role": "temp.max", "at_most": 1, "message": "{accel.max}"}, "{accel.max}"),
        ({"fact": "axis.*.travel", "at_most": 1, "message": "{accel.mx}"}, "the roles of what"),
        ("temp.max", "must be a table"),
    ],
)
def test_a_wrong_requirement_is_refused(require: object, part: str) -> None:
    with pytest.raises(CardError) as refused:
        read_head({**HEAD, "require": require}, "some-rule", "heat")
    assert part in str(refused.value)
    assert str(refused.value).startswith("some-rule: ")


@pytest.mark.parametrize(
    ("change", "part"),
    [
        ({"titel": "t"}, "unknown key titel"),
        ({"title": ""}, "title must be a text"),
        ({"severity": "bad"}, "danger, error, warning, note"),
        ({"advice": "Lower it to {most}."}, "{most}"),
        ({"limits": {"most": 3}}, "value, unit and source"),
        ({"limits": {"most": {"value": [], "unit": "", "source": ""}}}, "a number"),
        ({"limits": {"most": {"value": True, "unit": "", "source": ""}}}, "a number"),
        ({"limits": []}, "must be a table"),
    ],
)
def test_a_wrong_card_is_refused(change: dict[str, object], part: str) -> None:
    with pytest.raises(CardError) as refused:
        read_head({**HEAD, **change}, "some-rule", "heat")
    assert part in str(refused.value)


@pytest.mark.parametrize(
    ("kind", "measured", "operands", "expected"),
    [
        ("one_of", ("M-Z V",), ("mzv", "zv"), True),
        ("one_of", ("ei",), ("mzv", "zv"), False),
        ("between", (1.0, 3.0), (3.0, 1.0), True),
        ("between", (0.9, 3.0), (1.0, 3.0), False),
        ("at_most", (), (1.0,), True),
    ],
)
def test_comparisons(
    kind: str, measured: tuple[float | str, ...], operands: tuple[float | str, ...], expected: bool
) -> None:
    assert holds(kind, measured, operands) is expected


@pytest.mark.parametrize(
    ("amount", "unit", "text"),
    [
        (320.0, "°C", "320 °C"),
        (0.1, "mm", "0.1 mm"),
        (1e6, "bit/s", "1000000 bit/s"),
        (0.30000000000000004, "", "0.3"),
        (12345.678, "1/s", "12346 1/s"),
        (1.0, "1", "1"),
        (-5.0, "mm", "-5 mm"),
    ],
)
def test_amounts_are_written_for_people(amount: float, unit: str, text: str) -> None:
    assert format_amount(amount, unit) == text


def test_several_amounts_are_written_for_people() -> None:
    assert format_several((1.0, 2.0, 4.0), "mm") == "1, 2 or 4 mm"
    assert format_several(("zv", "mzv")) == "zv or mzv"
