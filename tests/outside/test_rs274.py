"""Line and number formats of G-code against the RS274/NGC language.

T. R. Kramer, F. M. Proctor, E. Messina, "The NIST RS274/NGC Interpreter, Version 3", NISTIR 6556 (2000),
section 3.3, "Format of a line". Section and wording are given from memory; the examples marked with * are
the report's own, also from memory.
"""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cfgaudit.syntax.gcode import Line
from cfgaudit.syntax.read_macro import read_macro


def read(text: str) -> Line:
    (line,) = read_macro(text)
    return line


def meaning(line: Line) -> list[tuple[str, float | None]]:
    return [(word.letter, word.number) for word in line.words]


def test_spaces_and_tabs_anywhere_change_nothing() -> None:
    """3.3: "g0x +0. 12 34y 7" is the same as "g0 x+0.1234 y7" *."""
    assert meaning(read("g0x +0. 12 34y 7")) == meaning(read("g0 x+0.1234 y7"))
    assert meaning(read("g0 x+0.1234 y7")) == [("G", 0), ("X", 0.1234), ("Y", 7)]
    assert meaning(read("\tG 1\tX\t-\t.5 ")) == [("G", 1), ("X", -0.5)]


def test_input_is_case_insensitive() -> None:
    """3.3: any letter outside a comment may be in upper or lower case without changing the meaning."""
    assert meaning(read("n7 g1 x5 f100")) == meaning(read("N7 G1 X5 F100"))


def test_blank_lines_are_allowed() -> None:
    """3.3: blank lines are to be ignored."""
    for text in ("", "   ", "\t"):
        line = read(text)
        assert (line.words, line.fault, line.opaque) == ((), None, False)


def test_parts_of_a_line_in_their_order() -> None:
    """3.3: an optional block delete character, an optional line number, then words and comments."""
    line = read("/N120 G1 (first) X5 (second) F100")
    assert meaning(line) == [("N", 120), ("G", 1), ("X", 5), ("F", 100)]
    assert line.comments == ("first", "second")
    assert line.fault is None


def test_a_percent_sign_alone_marks_the_beginning_and_the_end_of_a_file() -> None:
    """3.1: a file may be demarcated by percents."""
    lines = read_macro("%\nG1 X5\n%")
    assert [meaning(line) for line in lines] == [[], [("G", 1), ("X", 5)], []]
    assert not any(line.fault or line.opaque for line in lines)


def test_a_line_number_is_an_unsigned_integer() -> None:
    """3.3.1: the letter N followed by an integer (with no sign)."""
    assert meaning(read("N00009 G21")) == [("N", 9), ("G", 21)]
    fault = read("N10.5 G1 X5").fault
    assert fault is not None
    assert fault.column == 1


@pytest.mark.parametrize(
    ("number", "amount"),
    [("5", 5), ("+5", 5), ("-5", -5), ("5.", 5), (".5", 0.5), ("-.5", -0.5), ("+0.1234", 0.1234), ("007", 7)],
)
def test_real_numbers(number: str, amount: float) -> None:
    """3.3.2.1: an optional sign, digits, possibly one decimal point, digits; at least one digit somewhere."""
    line = read(f"G1 X{number} Y1")
    assert meaning(line) == [("G", 1), ("X", amount), ("Y", 1)]
    assert line.fault is None


@pytest.mark.parametrize("number", ["", "+", "-", ".", "-.", "--5", "+-5", "5-", "1.2.3", "1..2", "5.-"])
def test_what_is_no_real_number(number: str) -> None:
    fault = read(f"G1 X{number}").fault
    assert fault is not None
    assert (fault.kind, fault.column) == ("number" if number else "missing", 4)


def test_there_are_no_exponents() -> None:
    """3.3.2.1 gives none: E is the letter of the next word."""
    assert meaning(read("G1 X1E5")) == [("G", 1), ("X", 1), ("E", 5)]


def test_comments_end_where_they_are_closed_and_must_be() -> None:
    """3.3.4: a left parenthesis starts a comment that must be closed before the end of the line."""
    line = read("G80 M5 (stop motion)")
    assert line.comments == ("stop motion",)
    assert meaning(line) == [("G", 80), ("M", 5)]
    assert read("(G1 X--5)").fault is None
    fault = read("G80 M5 (stop motion").fault
    assert fault is not None
    assert (fault.kind, fault.column) == ("comment", 8)


def test_words_in_a_comment_count_for_nothing() -> None:
    assert meaning(read("(G90) G91 (G90 X.)")) == [("G", 91)]


def test_parameters_and_expressions_are_values() -> None:
    """3.3.2.2 and 3.3.2.3: "#3", "[1+acos[0]-[#3**[4.0/2]]]" *: values that only a run can tell."""
    line = read("G1 X#3 Y[1+acos[0]-[#3**[4.0/2]]] F100")
    assert meaning(line) == [("G", 1), ("X", None), ("Y", None), ("F", 100)]
    assert [word.placeholder for word in line.words] == [False, True, True, False]
    assert line.fault is None
    assert read("#3=15 #6=#3").fault is None


def test_a_checksum_ends_a_line() -> None:
    """Common practice on serial lines, no source: an asterisk and the exclusive or of the bytes."""
    assert meaning(read("N3 G1 X5.5*97")) == [("N", 3), ("G", 1), ("X", 5.5)]


NUMBERS = st.from_regex(r"[+-]?([0-9]{1,4}\.?[0-9]{0,4}|\.[0-9]{1,4})", fullmatch=True)
WORDS = st.tuples(st.sampled_from("ABCDEFHIJKLPQRSUVWXYZ"), NUMBERS)
LINES = st.tuples(
    st.sampled_from(["G0", "G1", "G2", "G28", "G92", "M104", "T1", "M3"]), st.lists(WORDS, max_size=5)
)


@given(LINES)
def test_every_line_of_words_is_read_as_written(line: tuple[str, list[tuple[str, str]]]) -> None:
    """The format as a regular expression and Python's own float are the oracle."""
    code, words = line
    text = code + "".join(letter + number for letter, number in words)
    expected = [(one[0], float(one[1:])) for one in re.findall(r"[A-Z][^A-Z]*", text)]
    assert meaning(read(text)) == expected
    assert read(text).fault is None


@given(LINES, st.data())
def test_white_space_and_case_never_matter(
    line: tuple[str, list[tuple[str, str]]], data: st.DataObject
) -> None:
    code, words = line
    plain = code + "".join(letter + number for letter, number in words)
    blanks = data.draw(
        st.lists(st.sampled_from(["", "", " ", "\t"]), min_size=len(plain), max_size=len(plain))
    )
    spread = "".join(character + blank for character, blank in zip(plain, blanks, strict=True))
    assert meaning(read(spread.lower())) == meaning(read(plain))
    assert read(spread).fault is None


@given(st.text("0123456789.+-", max_size=8))
def test_a_move_is_faulty_exactly_where_its_number_is_none(number: str) -> None:
    valid = re.fullmatch(r"[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)", number) is not None
    assert (read(f"G1 X{number}").fault is None) == valid
    assert (read(f"G1 X{number} Y2").fault is None) == valid
