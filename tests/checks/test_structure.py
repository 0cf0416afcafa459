"""What the structure rules say, how gravely, and where they stay silent. Common practice, no source."""

from __future__ import annotations

import pytest

from cfgaudit.audit import audit_text
from cfgaudit.checks.finding import Finding
from cfgaudit.checks.run import raise_fault
from checks.structure_only import check_structure


def found(text: str, rule: str) -> list[tuple[int, str, str]]:
    return [(one.where.line, one.severity.value, one.message) for one in of(text, rule)]


def of(text: str, rule: str) -> list[Finding]:
    return [one for one in check_structure(text).findings if one.rule == rule]


def test_a_repeated_value_that_differs_is_a_warning_and_an_equal_one_a_note() -> None:
    text = "[axis x]\nhighest = 300\nhighest = 310\nhighest = 310\n"
    assert found(text, "repeated-setting") == [
        (3, "warning", "[axis x] highest is set again; 300 in line 2 has no effect"),
        (4, "note", "[axis x] highest is set again, to the same value as in line 3"),
    ]


def test_a_section_that_stands_twice_word_for_word_is_one_finding() -> None:
    section = "[fan bed]\ndrive = PA1\nlowest power = 0.1\n"
    rules = [one.rule for one in check_structure(section + section).findings]
    assert rules == ["repeated-section"]


def shadowed(files: dict[str, str]) -> list[tuple[str, int, str]]:
    findings = audit_text(files, on_fault=raise_fault).findings.findings
    return [
        (one.where.file, one.where.line, one.severity.value)
        for one in findings
        if one.rule == "shadowed-setting"
    ]


def test_of_three_files_the_first_two_are_shadowed() -> None:
    files = {
        "main.ini": "%include a.ini\n%include b.ini\n%include c.ini\n",
        "a.ini": "[axis x]\nhighest = 300\n",
        "b.ini": "[axis x]\nhighest = 320\n",
        "c.ini": "[axis x]\nhighest = 320\n",
    }
    assert shadowed(files) == [("a.ini", 2, "warning"), ("b.ini", 2, "note")]


def test_within_the_shadowed_file_only_the_last_one_is_reported() -> None:
    files = {
        "main.ini": "%include a.ini\n[axis x]\nhighest = 320\n",
        "a.ini": "[axis x]\nhighest = 300\nhighest = 310\n",
    }
    assert shadowed(files) == [("a.ini", 3, "warning")]


def test_a_value_that_the_machine_saved_shadows_in_silence() -> None:
    files = {"main.ini": "[heater bed]\npid p = 20\n\n;~ [heater bed]\n;~ pid p = 22\n;~ pid i = 1.5\n"}
    assert shadowed(files) == []


@pytest.mark.parametrize(
    ("section", "line", "expected"),
    [
        ("axis x", "highest = 300,5", True),
        ("heater bed", "highest = 110,5 °C", True),
        ("motion", "corner speed = 6,5 mm/s", True),
        ("motion", "top speed = 300,300", False),
        ("motion", "top speed = 300,250", False),
        ("axis x", "highest = 300, 5", False),
        ("axis x", "highest = 300.5", False),
        ("mesh", "low corner = 10,10", False),
        ("fan bed", "something = 0,4", False),
    ],
)
def test_a_comma_counts_only_where_one_number_is_meant(section: str, line: str, expected: bool) -> None:
    assert bool(of(f"[{section}]\n{line}\n", "decimal-comma")) is expected


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("highest position = left", ["wrong-value-shape"]),
        ("highest position = 300 s", ["unit-mismatch"]),
        ("highest position = 300 mm", []),
        ("highest position = 300 ; far", []),
        ("highest position = {far}", []),
        ("highest position = CHANGE_ME", ["placeholder-left"]),
        ("highest position = 300,5", ["decimal-comma"]),
        ("highest position = −300", ["lookalike-character"]),
        ("highest position =", ["empty-value"]),
    ],
)
def test_a_value_that_does_not_fit_is_told_by_one_rule_only(line: str, expected: list[str]) -> None:
    text = f"# a comment\n[axis x]\nlowest position = 0\n{line}\n"
    assert [one.rule for one in check_structure(text).findings] == expected


@pytest.mark.parametrize(
    ("line", "severity"),
    [("drive = <pin>", "error"), ("model = CHANGE_ME", "warning"), ("something = TODO", "warning")],
)
def test_a_placeholder_is_an_error_where_a_role_needs_more_than_words(line: str, severity: str) -> None:
    assert [one.severity.value for one in of(f"[fan bed]\n{line}\n", "placeholder-left")] == [severity]


@pytest.mark.parametrize(
    ("value", "found"),
    [
        ("head.CHANGE_ME", True),
        ("!head : FILL_IN", True),
        ("boardHead/xxx", True),
        ("???@head", True),
        ("rear.CHANGE_ME", True),
        ("head.PA1", False),
        ("head.<GND>", False),
        ("head.extra", False),
    ],
)
def test_a_placeholder_behind_the_name_of_a_board(value: str, found: bool) -> None:
    text = f"[board head]\nchip = RP2040\n[fan bay]\npin = {value}\n"
    assert [one.severity.value for one in of(text, "placeholder-left")] == (["error"] if found else [])


@pytest.mark.parametrize("line", ["note = see: todo", "film = beach.xxx", "pin names = a.TODO"])
def test_what_stands_behind_no_board_is_no_placeholder(line: str) -> None:
    assert of(f"[board head]\nchip = RP2040\n[odd thing]\n{line}\n", "placeholder-left") == []


@pytest.mark.parametrize(
    ("line", "severity"),
    [
        ("drive = РA1", "error"),
        ("name = “bed”", None),
        ("lowest power = −0.1", "error"),
        ("drive = “PA1”", "warning"),
    ],
)
def test_a_lookalike_is_an_error_where_the_value_cannot_be_read(line: str, severity: str | None) -> None:
    told = [one.severity.value for one in of(f"[fan bed]\n{line}\n", "lookalike-character")]
    assert told == ([severity] if severity else [])


def test_a_lookalike_is_told_with_its_place_and_what_to_type() -> None:
    told = of("[fan bed]\ndrive = main.РA1\n", "lookalike-character")
    assert [(one.where.line, one.where.column, one.where.end_column) for one in told] == [(2, 14, 15)]
    assert "U+0420 CYRILLIC CAPITAL LETTER ER" in told[0].message
    assert told[0].advice.endswith("main.PA1")


def test_lines_in_a_row_are_one_finding_that_counts_them() -> None:
    told = of("[fan bed]\nline one\nline two\nline three\n\nline four\n", "unreadable-line")
    assert [(one.where.line, one.where.end_line) for one in told] == [(2, 4), (6, 6)]
    assert "2 lines below" in told[0].message


def test_bytes_that_are_no_utf8_are_one_finding_a_file() -> None:
    told = found("[fan bed]\n; \udcb0\ndrive = PA1 ; \udcb0\udcb1\n", "not-utf8")
    assert told == [(2, "warning", "main.ini is not UTF-8: 2 places, the first with the byte 0xB0")]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("[fan a]\ndrive = PA1\n\n[fan b]\ndrvie = PA2\n", [5]),
        ("[fan a]\ndrive pin = PA1\n\n[fan b]\ndirve pin = PA2\n", [5]),
        ("[fan a]\ndrive = PA1\n\n[fan b]\ndrive = PA2\ndrvie = PA3\n", []),
        ("[fan a]\nsensors = 1\n\n[fan b]\nsensor = 2\n", []),
        ("[fan a]\nwhistle1 = 1\n\n[fan b]\nwhistle2 = 2\n", []),
        ("[fan a]\nbrace = 1\n\n[fan b]\nbrace = 2\n\n[fan c]\ntrace = 3\n", []),
        ("[macro a]\nspeed = 1\n\n[macro b]\nspede = 2\n", []),
        ("[haeter]\n", []),
    ],
)
def test_a_slip_is_reported_only_where_it_is_sure(text: str, expected: list[int]) -> None:
    assert [one.where.line for one in of(text, "probable-typo")] == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("[fan a]\nlowest power = 0.1\n\n[fan b]\ndrive = PA1\n  lowest power = 0.1\n", [6]),
        ("[fan b]\ndrive = PA1\n  a word = of nothing\n", []),
        ("[fan a]\nlowest power = 0.1\n\n[fan b]\nnotes =\n  lowest power = 0.1\n", []),
        ("[fan a]\nspeed = 1\n\n[macro b]\nbody = G28\n  speed = 1\n", []),
    ],
)
def test_an_indented_setting_is_swallowed_only_if_its_name_is_in_use(text: str, expected: list[int]) -> None:
    assert [one.where.line for one in of(text, "swallowed-setting")] == expected
