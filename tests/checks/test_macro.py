"""Rules of macros: what they say, and what they must not say of bodies that are as they should be."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from .machine_findings import findings_in, lines_in

AXES = "[axis x]\nlowest = 0\nhighest = 200\n[axis y]\nlowest = 0\nhighest = 200\n"


def macro(name: str, *body: str) -> str:
    return f"[macro {name}]\nbody =\n" + "".join(f"    {line}\n" for line in body)


def moves(*body: str, other: str = "") -> list[int]:
    """The lines of the body, from 1, at which a move leads out of the travel."""
    before = AXES.count("\n") + 2
    return [
        line - before for line in lines_in(AXES + macro("under-test", *body) + other, "move-outside-travel")
    ]


def test_an_absolute_move_is_judged() -> None:
    assert moves("G90", "G1 X201", "G0 Y-0.5 X10", "G90 G1 X200 Y0", "g01x999") == [2, 3, 5]


@pytest.mark.parametrize(
    "body",
    [
        ("G1 X500",),
        ("G91", "G1 X-500"),
        ("G90", "G91", "G1 X500"),
        ("G90", "G1 X{x} Y$(y)"),
        ("G90", "G92 X0", "G1 X-50"),
        ("G90", "G92", "G1 X-50 Y900"),
        ("G90", "G54", "G1 X-50"),
        ("G90", "G20", "G1 X-1"),
        ("G90", "G53 G1 X-50"),
        ("G90", "T1", "G1 X210"),
        ("G90", "G28 X500"),
        ("G90", "; G1 X500", "(G1 X500)"),
        ("G90", "G1 E500 F9000 Z900"),
        ("G91", "{% if high %}", "G90", "{% endif %}", "G1 X500"),
        ("G90", "{when far}", "G91", "{done}", "G1 X500"),
    ],
)
def test_where_a_number_says_no_place_nothing_is_said(body: tuple[str, ...]) -> None:
    assert moves(*body) == []


def test_an_extruder_that_is_set_to_zero_shifts_no_axis() -> None:
    assert moves("G90", "G92 E0", "G1 X201") == [3]


def test_template_logic_without_relative_moves_keeps_the_mode() -> None:
    assert moves("G90", "{repeat 3}", "G1 X10", "{done}", "G1 X201") == [5]


@pytest.mark.parametrize(
    ("called", "found"),
    [
        (("G91", "G1 Z5"), []),
        (("G91", "G1 Z5", "G90"), [3]),
        (("G92 X0",), []),
        (("M117 hi",), [3]),
        (("under-test",), []),
        (("lift",), []),
    ],
)
def test_called_macros_are_followed(called: tuple[str, ...], found: list[int]) -> None:
    assert moves("G90", "lift", "G1 X201", other=macro("lift", *called)) == found


@pytest.mark.parametrize(
    ("body", "found"),
    [
        (("G90", "G0 X190", "G91", "G1 X20"), [4]),
        (("G90", "G0 X190", "G91", "G1 X5 Y300", "G1 X5.5"), [5]),
        (("G90", "G0 X190", "G91", "G1 X-20", "G1 X20", "G1 X11"), [6]),
        (("G90", "G0 X190", "G91", "G1 X11", "G1 X1", "G1 X1"), [4]),
        (("G90", "G2 X190 Y5 I3 J4", "G91", "G1 X11"), [4]),
        (("G90", "G0 X190", "G91", "M109 S200", "G1 X11"), []),
        (("G90", "G0 X190", "G91", "wipe-it", "G1 X11"), []),
        (("G90", "G0 X190", "G91", "G28", "G1 X11"), []),
        (("G90", "G0 X190", "G91", "X3", "G1 X11"), []),
        (("G90", "G0 X190", "G91", "G1 X{step}", "G1 X11"), []),
        (("G90", "G0 X190", "G91", "{when far}", "G1 X11"), []),
        (("G90", "G0 X190", "G92 X0", "G91", "G1 X11"), []),
        (("G90", "G0 X190", "G53 G0 X1", "G91", "G1 X11"), []),
    ],
)
def test_relative_moves_are_judged_from_a_known_place(body: tuple[str, ...], found: list[int]) -> None:
    assert moves(*body) == found


def test_a_called_macro_moves_in_its_callers_mode() -> None:
    callee = macro("to-the-side", "G0 X260")
    before = AXES.count("\n")
    absolute = AXES + macro("park", "G90", "to-the-side") + callee
    found = findings_in(absolute, "move-outside-travel")
    assert [(one.where.line, one.related[0].line) for one in found] == [(before + 7, before + 4)]
    assert "called by macro park" in found[0].message
    assert lines_in(AXES + macro("park", "G91", "to-the-side") + callee, "move-outside-travel") == []
    assert lines_in(AXES + macro("park", "to-the-side") + callee, "move-outside-travel") == []


def test_what_a_macro_says_itself_is_told_once_and_without_its_callers() -> None:
    text = AXES + macro("park", "G90", "aside", "aside") + macro("aside", "G90", "G0 X260")
    found = findings_in(text, "move-outside-travel")
    assert [one.message for one in found] == ["macro aside moves x to 260 mm, but x travels from 0 to 200 mm"]


def test_places_without_end_are_followed_in_no_time() -> None:
    """Each macro moves on a little and calls the next one ten times: no two calls begin at one place."""
    chain = "".join(macro(f"step-{n}-down", *["G1 X0.001", f"step-{n + 1}-down"] * 10) for n in range(30))
    text = macro("step-30-down", "G1 Y0.001")
    assert moves("G90", "G0 X1 Y1", "G91", "step-0-down", "G90", "G1 X201", other=chain + text) == [6]


def test_calls_are_followed_a_long_way_down() -> None:
    chain = "".join(macro(f"step-{n}-down", f"step-{n + 1}-down") for n in range(400))
    assert moves("G90", "step-0-down", "G1 X201", other=chain + macro("step-400-down", "M117 x")) == []


def test_a_tree_of_calls_is_followed_in_no_time() -> None:
    """Thirty macros that each call the next one ten times are ten to the thirtieth calls."""
    chain = "".join(macro(f"step-{n}-down", *[f"step-{n + 1}-down"] * 10) for n in range(30))
    assert moves("G90", "step-0-down", "G1 X201", other=chain + macro("step-30-down", "M117 x")) == [3]


BODIES = st.lists(
    st.sampled_from(["G90", "G91", "G1 X10", "G0 Y16.5", "G92 E0", "{x}", "call-me", "M104 S0", "", "; hm"]),
    max_size=12,
)


@given(BODIES)
@settings(max_examples=40, deadline=None)
def test_moves_within_the_travel_are_never_a_fault(body: list[str]) -> None:
    """Twelve of the relative ones do not lead out either."""
    assert moves(*body) == []


HEATERS = (
    "[heater bed]\npin = PA1\nthermistor pin = PC0\nhighest temp = 100\n"
    "[heater nozzle]\npin = PA2\nthermistor pin = PC1\nhighest temp = 280\n"
)


@pytest.mark.parametrize(
    ("line", "found"),
    [
        ("M140 S101", True),
        ("M190 R101", True),
        ("M104 S101", False),
        ("M109 S281", True),
        ("M109 S280", False),
        ("M104 S0", False),
        ("M104 T1 S281", True),
        ("M109 S{temp}", False),
        ("M141 S200", False),
        ("M106 S255", False),
        ("M117 M104 S999 is hot", False),
    ],
)
def test_temperatures_that_macros_ask_for(line: str, found: bool) -> None:
    assert bool(lines_in(HEATERS + macro("warm", line), "temperature-above-limit")) is found


def test_of_two_hot_ends_the_hotter_ones_limit_counts() -> None:
    second = "[heater nozzle left]\npin = PA3\nthermistor pin = PC2\nhighest temp = 350\n"
    assert lines_in(HEATERS + second + macro("warm", "M104 S300"), "temperature-above-limit") == []
    without = "[heater nozzle left]\npin = PA3\nthermistor pin = PC2\n"
    assert lines_in(HEATERS + without + macro("warm", "M104 S900"), "temperature-above-limit") == []


def test_a_number_that_is_no_upper_limit_limits_nothing() -> None:
    text = "[heater bed]\npin = PA1\nthermistor pin = PC0\nhighest temp = 5\n" + macro("warm", "M140 S60")
    assert lines_in(text, "temperature-above-limit") == []


def test_a_heater_of_which_nobody_knows_the_place_is_not_addressed() -> None:
    text = "[heater one]\npin = PA1\nthermistor pin = PC0\nhighest temp = 100\n" + macro("warm", "M140 S110")
    assert lines_in(text, "temperature-above-limit") == []


def left(*body: str, other: str = "") -> list[int]:
    return lines_in(macro("under-test", *body) + other, "relative-mode-left")


@pytest.mark.parametrize(
    "body",
    [
        ("G91", "G1 Z5", "G90"),
        ("G91",),
        ("G1 Z5",),
        ("keep-state", "G91", "G1 Z5", "bring-back-state"),
        ("G91", "G1 Z5", "{restore()}"),
        ("G91", "G1 Z5", "{% if a %}G90{% endif %}"),
        ("G91", "G1 Z5", "go-absolute"),
        ("G90", "M117 G91"),
    ],
)
def test_a_macro_that_may_go_back_is_no_fault(body: tuple[str, ...]) -> None:
    assert left(*body, other=macro("go-absolute", "G90")) == []


def test_a_macro_that_surely_stays_relative() -> None:
    assert left("G90", "G91", "G1 Z5", "M117 done") == [4]
    assert left("G91", "G1 Z5", "say-hello", other=macro("say-hello", "M117 hello")) == [3]


def test_a_caller_may_go_back() -> None:
    other = macro("caller", "under-test", "under-test", "G90")
    assert left("G91", "G1 Z5", other=other) == []
    assert left("G91", "G1 Z5", other=macro("caller", "G90", "under-test")) == [3]


@pytest.mark.parametrize(
    "line",
    [
        "G1 X<far right> F3000",
        "G1 X@{home} Y{{ y }}",
        "G1 X[#1 + 2] F#3",
        "M117 50% done: see {x",
        "hold the nozzle at X10.5.2",
        "set-light level=0.5.1",
        "G28 X Y",
        "G1X10Y20F3000",
        "G0 X 10 Y +5.",
        "$H",
        "wait 5 s",
    ],
)
def test_other_languages_and_loose_spellings_are_no_fault(line: str) -> None:
    assert lines_in(macro("odd", line), "gcode-malformed") == []


def test_a_name_that_begins_with_g_may_be_a_macros() -> None:
    text = macro("GX10", "M117 hm") + macro("odd", "GX10")
    assert lines_in(text, "gcode-malformed") == []
    assert lines_in(macro("odd", "GX10"), "gcode-malformed") == [3]


def test_the_finding_points_at_the_word() -> None:
    found = findings_in(macro("odd", "G90", "G1 X10 Y1.2.3 F900"), "gcode-malformed")
    assert [(one.where.line, one.where.column, one.where.end_column) for one in found] == [(4, 12, 18)]


@given(st.lists(st.text(st.characters(exclude_categories=["Cc", "Cs"]), max_size=25), max_size=5))
@settings(max_examples=60, deadline=None)
def test_no_body_makes_a_rule_of_macros_raise(lines: list[str]) -> None:
    """``findings_in`` lets faults of rules through."""
    findings_in(AXES + HEATERS + macro("any", *lines), "gcode-malformed")
