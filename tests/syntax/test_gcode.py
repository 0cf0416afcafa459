"""Macro bodies: what is a fault, what is a call, what is opaque. Number and word formats: tests/outside."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cfgaudit.syntax.gcode import CallText, Fault, Line, Word
from cfgaudit.syntax.placeholders import find_placeholders, mask_placeholders
from cfgaudit.syntax.read_macro import read_macro


def read(text: str) -> Line:
    (line,) = read_macro(text)
    return line


def codes(line: Line) -> list[str]:
    return [word.code for word in line.words]


@pytest.mark.parametrize(
    ("text", "kind", "piece"),
    [
        ("G1 X10.5.3", "number", "X10.5.3"),
        ("G1 X--5", "number", "X--5"),
        ("G1 X5-3", "number", "X5-3"),
        ("G1 X.", "number", "X."),
        ("G1 X-", "number", "X-"),
        ("G1 X", "missing", "X"),
        ("G1 X Y5", "missing", "X"),
        ("g01 F", "missing", "F"),
        ("G90 G1 X", "missing", "X"),
        ("G1 X10, Y5", "junk", ","),
        ("G1 X10mm", "junk", "mm"),
        ("G1 XY5", "junk", "XY5"),
        ("G1 X5 (left", "comment", "(left"),
        ("G28 (home", "comment", "(home"),
        ("GX10", "glued", "GX10"),
        ("GX10 Y5", "glued", "GX10"),
        ("G1.2.3", "number", "G1.2.3"),
        ("M104 S20.5.3", "number", "S20.5.3"),
        ("M104 S--20", "number", "S--20"),
        ("T0 X1.2.3", "number", "X1.2.3"),
        ("N10 G1 X", "missing", "X"),
        ("G1 X{home} Y--5", "number", "Y--5"),
    ],
)
def test_faults_are_placed(text: str, kind: str, piece: str) -> None:
    fault = read(text).fault
    assert fault is not None
    assert (fault.kind, fault.text, fault.column) == (kind, piece, text.index(piece) + 1)


@pytest.mark.parametrize(
    "text",
    [
        *(
            "G28 X Y",
            "G28XY",
            "G29 mode=fast",
            "G28 X=5",
            "G92 E0",
            "G4 P500",
            "M84 X Y E",
            "T0",
            "M117",
            "M600 B",
        ),
        *(
            "M117 Ready: 50% (of v1.2.3)",
            "M117 v1.2.3",
            "M118 it's done, at last",
            "M117 -- hot --",
            "M23 part.g",
        ),
        *("G1 X{home} Y5", "G1 X{a}mm", "G1 X{a},Y{b}", "G1 {axis}{to}", "G1 X${home}", "G1 X%(home)s F1"),
        *("G1 X[1 + [2 * 3]] Y#3 Z#<depth>", "G1 X$home", "G{n} X5", "M104 S{hot + 5}", "G1 X5 ; and (so on"),
        *(
            "wait until it is hot",
            "heat the bed to 60.5.3",
            "P1 is the pump",
            "x = y.z.w",
            "X--5",
            "10 20 30",
        ),
        *(
            "if hot then",
            "else",
            "end",
            "{% if hot %}",
            "{% if hot %}G1 X{% endif %}",
            "@if hot",
            "<% hot %>",
        ),
        *(
            "% for one in all",
            "$x = 5",
            "//",
            "-- remark",
            "&& G1",
            "| G1 X",
            "T-nut",
            "note: G1 X",
            "#3 = 15",
        ),
    ],
)
def test_no_fault_where_it_is_not_sure(text: str) -> None:
    assert read(text).fault is None


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("park", CallText("park", (), 1)),
        ("  park", CallText("park", (), 3)),
        ("Park_Head", CallText("Park_Head", (), 1)),
        ("park-head.slow", CallText("park-head.slow", (), 1)),
        ("z2_tilt", CallText("z2_tilt", (), 1)),
        ("T0-pick", CallText("T0-pick", (), 1)),
        ("x_go", CallText("x_go", (), 1)),
        ("park where=rear speed=50", CallText("park", (("where", "rear"), ("speed", "50")), 1)),
        ("park where = rear", CallText("park", (("where", "rear"),), 1)),
        ("say text='two words' loud=", CallText("say", (("text", "two words"), ("loud", "")), 1)),
        ("park X10 y-5.5 Z", CallText("park", (("X", "10"), ("Y", "-5.5"), ("Z", "")), 1)),
        ("park X={x} Y{y}", CallText("park", (("X", "{x}"), ("Y", "{y}")), 1)),
        ("park {rear}", CallText("park", (("", "{rear}"),), 1)),
        ('say "two words" 5', CallText("say", (("", "two words"), ("", "5")), 1)),
        ("park (slowly) ; now", CallText("park", (), 1)),
        ("N20 park X5 *33", CallText("park", (("X", "5"),), 5)),
        ("/ park", CallText("park", (), 3)),
    ],
)
def test_calls(text: str, expected: CallText) -> None:
    line = read(text)
    assert line.call == expected
    assert line.fault is None
    assert not line.opaque


@pytest.mark.parametrize(
    "text",
    ["park the head", "G28", "X10 Y5", "M104 S200", "if", "x = 5", "speed=50", "{park}", "; park", "", "5"],
)
def test_what_calls_nothing(text: str) -> None:
    assert read(text).call is None


def test_a_glued_word_is_a_call_as_well() -> None:
    line = read("GX10 Y5")
    assert line.call == CallText("GX10", (("Y", "5"),), 1)
    assert line.fault == Fault("glued", 1, "GX10")


def test_words_that_a_placeholder_fills() -> None:
    line = read("G1 X{home.x + {a}} Y-{b}5 {more} F{f}00 E[2*3] ; fast")
    assert line.words == (
        Word("G", 1, "G1", False, 1),
        Word("X", None, "X{home.x + {a}}", True, 4),
        Word("Y", None, "Y-{b}5", True, 20),
        Word("", None, "{more}", True, 27),
        Word("F", None, "F{f}00", True, 34),
        Word("E", None, "E[2*3]", True, 41),
    )
    assert line.comments == ("fast",)
    assert line.word("X") is line.words[1]
    assert line.word("Z") is None
    assert line.codes == ("G1",)


def test_a_text_after_a_command_is_no_code() -> None:
    assert codes(read("M117 Use G1 X5 next")) == ["M117"]
    assert codes(read("M117 v1.2.3")) == ["M117"]
    assert codes(read("T0 M104 S200")) == ["T0", "M104", "S200"]


def test_codes_have_one_spelling() -> None:
    assert codes(read("g01 x+05.50 G54.1 g38.20 M003")) == ["G1", "X5.5", "G54.1", "G38.2", "M3"]


@pytest.mark.parametrize(
    "text", ["wait until hot", "{% set x = 5 %}", "if hot", "x = 5", "P1 is the pump", "…", "10 20", "//"]
)
def test_opaque_lines_say_nothing(text: str) -> None:
    line = read(text)
    assert line.opaque
    assert (line.words, line.call, line.fault) == ((), None, None)


@pytest.mark.parametrize(
    ("body", "line", "column", "mark"),
    [
        ("G1 X{home", 1, 5, "{"),
        ("G28\nG1 X${home\nG1 Y5", 2, 5, "${"),
        ("G1 X{a {b}", 1, 5, "{"),
        ("G1 X5 }", 1, 7, "}"),
        ("G1 X{a}}", 1, 8, "}"),
        ("G1 X%(home Y5", 1, 5, "%("),
        ("{% if a %}\nG1 X5\n{% endif %", 3, 1, "{"),
        ("G1 X{ '}' ", 1, 5, "{"),
    ],
)
def test_placeholders_that_do_not_balance(body: str, line: int, column: int, mark: str) -> None:
    faults = {one.number: one.fault for one in read_macro(body) if one.fault is not None}
    assert faults == {line: Fault("unbalanced", column, mark)}


@pytest.mark.parametrize(
    "body",
    [
        *("G1 X{a{b{c}}}", "G1 X{ '}' }", 'G1 X{ "{" }', "G1 X5 ; {note", "{# don't { #}", "M117 100 %", "%"),
        *("{% set list = [\n  1,\n  {},\n] %}", "G1 X{\n  home\n}", "{\n{\n}\n}", "<% a { %>"),
    ],
)
def test_placeholders_that_balance(body: str) -> None:
    assert all(line.fault is None for line in read_macro(body))


def test_a_placeholder_over_several_lines_hides_what_is_in_it() -> None:
    lines = read_macro("G1 X{\n G1 X\n} Y5\nG1 Z5")
    assert [line.number for line in lines] == [1, 2, 3, 4]
    assert [line.fault for line in lines] == [None] * 4
    assert [line.opaque for line in lines] == [False, True, True, False]
    assert codes(lines[3]) == ["G1", "Z5"]


def test_masks_keep_columns_and_lines() -> None:
    body = "G1 X{a\nb} Y%(c)s {"
    marks = find_placeholders(body)
    assert [(body[start:end], balanced) for start, end, balanced in marks] == [
        ("{a\nb}", True),
        ("%(c)s", True),
        ("{", False),
    ]
    assert mask_placeholders(body, marks).replace("\ufffc", "_") == "G1 X__\n__ Y_____ _"


PIECES = st.sampled_from(
    [
        *"GMTNXYZEFS0123456789.+-*/%#@=;:,()[]{}<>$\"' \n\t",
        *("G1 ", "M104 S", "{a}", "${", "%(", "%(a)s", "<%", "%>", "{#", "#}", "park ", "x=5", "if "),
        *("\ufffc", "\u00a0", "\r", "é", "²", "٣"),
    ]
)
BODIES = st.one_of(st.text(max_size=60), st.lists(PIECES, max_size=30).map("".join))


@given(BODIES)
def test_any_body_is_read(body: str) -> None:
    lines = read_macro(body)
    assert "\n".join(line.text for line in lines) == body
    for number, line in enumerate(lines, start=1):
        assert line.number == number
        for word in line.words:
            assert line.text[word.column - 1 :].startswith(word.text)
            assert word.code or word.placeholder
        if line.fault is not None:
            assert line.text[line.fault.column - 1 :].startswith(line.fault.text)
            assert line.fault.text
        if line.call is not None:
            assert line.text[line.call.column - 1 :].startswith(line.call.name)


@given(BODIES)
def test_marks_do_not_overlap_and_masks_keep_length(body: str) -> None:
    marks = find_placeholders(body)
    masked = mask_placeholders(body, marks)
    assert len(masked) == len(body)
    assert [one == "\n" for one in masked] == [one == "\n" for one in body]
    assert all(0 <= mark.start < mark.end <= len(body) for mark in marks)


@given(BODIES)
def test_what_is_wrapped_in_a_placeholder_is_no_fault(body: str) -> None:
    inside = body.translate(str.maketrans("", "", "{}\"'%<>#"))
    assert all(line.fault is None for line in read_macro("{" + inside + "}"))
