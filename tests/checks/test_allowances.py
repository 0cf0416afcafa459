"""Allowances in comments."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.checks.allowances import read_allowance
from checks.structure_only import check_structure

KNOWN = frozenset({"pin-shared", "repeated-setting", "decimal-comma"})


def found(text: str, project: str = "") -> list[tuple[str, int]]:
    findings = check_structure(text, project).findings
    return [(one.rule, one.where.line) for one in findings]


TWICE = "[axis x]\nhighest = 300\nhighest = 310"


@pytest.mark.parametrize(
    ("text", "rules", "reason"),
    [
        (
            " allow pin-shared, both fans are wired in parallel",
            ("pin-shared",),
            "both fans are wired in parallel",
        ),
        (" allow pin-shared, decimal-comma, an old habit", ("pin-shared", "decimal-comma"), "an old habit"),
        ("allow PIN-SHARED: an old habit", ("pin-shared",), "an old habit"),
        (" Allow pin-shared (an old habit)", ("pin-shared",), "an old habit"),
        (" allow pin-shared an old habit", ("pin-shared",), "an old habit"),
        (" allow pin-shared, hand-wired", ("pin-shared",), "hand-wired"),
        (" allow pin-shared, no-such-rule, an old habit", ("pin-shared", "no-such-rule"), "an old habit"),
        (" allow pin-shared, this, that and the other", ("pin-shared",), "this, that and the other"),
        (" allow pin-shared", ("pin-shared",), ""),
        (" allow pin-shared,", ("pin-shared",), ""),
        (" allow pin-shared, decimal-comma", ("pin-shared", "decimal-comma"), ""),
        (" allow", (), ""),
        (" allow , an old habit", (), ""),
        (" ignore pin-shared, an old habit", (), ""),
        ("", (), ""),
    ],
)
def test_an_allowance_is_read(text: str, rules: tuple[str, ...], reason: str) -> None:
    assert read_allowance(text, KNOWN) == (rules, reason)


@settings(max_examples=100, deadline=None)
@given(st.text(max_size=60))
def test_any_text_after_the_mark_is_read(text: str) -> None:
    rules, reason = read_allowance(text, KNOWN)
    assert all(rule == rule.casefold() for rule in rules)
    assert rules or not reason


def test_without_an_allowance_the_rule_finds_it() -> None:
    assert found(TWICE) == [("repeated-setting", 3)]


def test_an_allowance_on_the_line_itself() -> None:
    assert found(f"{TWICE} ; cfgaudit: allow repeated-setting, kept for comparison") == []


@pytest.mark.parametrize("mark", ["#", ";"])
def test_an_allowance_above_the_line_with_more_comment_between(mark: str) -> None:
    above = f"{mark} cfgaudit: allow repeated-setting, kept for comparison\n{mark} until June\n"
    assert found(TWICE.replace("highest = 310", f"{above}highest = 310")) == []


def test_an_allowance_with_a_blank_line_below_allows_nothing() -> None:
    text = TWICE.replace("highest = 310", "; cfgaudit: allow repeated-setting, kept\n\nhighest = 310")
    assert found(text) == [("allowance-unused", 3), ("repeated-setting", 5)]


def test_an_allowance_covers_the_lines_of_a_long_value_and_no_more() -> None:
    allowance = "; cfgaudit: allow repeated-setting, kept"
    text = f"[axis x]\nhighest = 1\n{allowance}\nhighest = 300,\n  310\nhighest = 320\n"
    assert found(text) == [("repeated-setting", 6)]


def test_an_allowance_of_another_rule_allows_nothing() -> None:
    assert found(f"{TWICE} ; cfgaudit: allow decimal-comma, kept") == [
        ("repeated-setting", 3),
        ("allowance-unused", 3),
    ]


def test_an_allowance_without_a_reason_allows_nothing() -> None:
    assert found(f"{TWICE} ; cfgaudit: allow repeated-setting") == [
        ("repeated-setting", 3),
        ("allowance-without-reason", 3),
    ]


def test_an_allowance_of_a_rule_that_is_off_is_not_unused() -> None:
    text = f"{TWICE} ; cfgaudit: allow repeated-setting, kept"
    assert found(text, '[rules]\nrepeated-setting = "off"\n') == []


def test_a_misspelt_rule_is_told_with_the_nearest_name() -> None:
    findings = check_structure(f"{TWICE} ; cfgaudit: allow repeated-seting, kept").findings
    told = [one.message for one in findings if one.rule == "allowance-unknown-rule"]
    assert len(told) == 1
    assert "did you mean repeated-setting?" in told[0]


def test_a_house_rule_may_be_allowed() -> None:
    house = """
    [[rule]]
    name = "short-x"
    title = "X is too short for our jobs"
    severity = "warning"
    advice = "Check the frame."
    require = { role = "travel.max", axis = "x", at_least = 400 }
    """
    text = "[axis x]\nlowest = 0\nhighest = 300"
    assert found(text, house) == [("short-x", 3)]
    assert found(f"{text} ; cfgaudit: allow short-x, this is the small one", house) == []


@settings(max_examples=40, deadline=None)
@given(
    st.lists(
        st.sampled_from([*TWICE.split("\n"), "", "; cfgaudit: allow repeated-setting, kept"]), max_size=12
    )
)
def test_a_used_allowance_is_never_called_unused(lines: list[str]) -> None:
    """Taking away what an allowance allows makes it unused; so it is one or the other, never both."""
    with_allowances = check_structure("\n".join(lines)).findings
    bare = [line.replace("cfgaudit:", "somebody:") for line in lines]
    without = check_structure("\n".join(bare)).findings
    repeated = {one.where for one in without if one.rule == "repeated-setting"}
    kept = {one.where for one in with_allowances if one.rule == "repeated-setting"}
    unused = {one.where.line for one in with_allowances if one.rule == "allowance-unused"}
    assert kept <= repeated
    for where in repeated - kept:
        above = [number for number in range(where.line - 1, 0, -1) if "cfgaudit:" not in lines[number - 1]]
        block = range((above[0] if above else 0) + 1, where.line)
        assert block
        assert not unused & set(block)
