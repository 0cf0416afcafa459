"""Detection of how a file is written. The expectations are read off the texts by hand."""

from __future__ import annotations

import pytest

from cfgaudit.syntax.dialect import Traits
from cfgaudit.syntax.document import Document, Entry
from cfgaudit.syntax.parse import parse


def read(text: str, **traits: object) -> Document:
    return parse(text.encode(), "one.ini", Traits(**traits))  # type: ignore[arg-type]


def values(text: str) -> list[str]:
    return [node.value for node in read(text).nodes if isinstance(node, Entry)]


def keys(text: str) -> list[str]:
    return [node.key for node in read(text).nodes if isinstance(node, Entry)]


def reason(document: Document, trait: str) -> tuple[str, str]:
    return next((value, why) for name, value, why in document.dialect.reasons if name == trait)


class TestComments:
    def test_a_mark_that_no_line_begins_with_may_stand_in_values(self) -> None:
        assert values("; top\na = red #ff8800\nb = 2 ; two\n") == ["red #ff8800", "2"]
        assert values("# top\na = 1 ;2\nb = 2 # two\n") == ["1 ;2", "2"]

    def test_both_in_use(self) -> None:
        assert values("; top\n# top\na = 1 ; one\nb = 2 # two\n") == ["1", "2"]

    def test_a_mark_behind_a_header_is_in_use(self) -> None:
        assert values("; top\n[arm] # left\na = 1 # one\n") == ["1"]

    def test_words_behind_values_show_a_mark(self) -> None:
        document = read("# top\na = 5 ; millimetres per second\nb = 6 ; slower\n")
        assert document.dialect.comments == ("#", ";")
        assert reason(document, "comments")[1].endswith("values with words behind ;: 2")

    @pytest.mark.parametrize("list_", ["1, 2 ; 3, 4", "arm ; leg ; head", "a ;b"])
    def test_lists_do_not(self, list_: str) -> None:
        assert values(f"# top\na = {list_}\n") == [list_]

    def test_nothing_tells(self) -> None:
        document = read("a = 1\n")
        assert document.dialect.comments == ("#", ";")
        assert reason(document, "comments") == ("# ;", "no comment tells")

    def test_only_number_signs(self) -> None:
        assert values("a = red #ff8800\nb = tool #2\n") == ["red #ff8800", "tool #2"]

    def test_a_number_sign_directly_behind_the_separator_begins_a_value(self) -> None:
        assert values("# top\na = #ff8800\nb = #ff8800 #00ff88 # two\nc = # none\n") == [
            "#ff8800",
            "#ff8800 #00ff88",
            "",
        ]

    def test_no_white_space_before_no_comment(self) -> None:
        assert values("; top\n# top\na = b#c;d\n") == ["b#c;d"]

    @pytest.mark.parametrize("quoted", ['"a ; b"', "'a ; b'", '"a \\" ; b"', '1, "a ; b"'])
    def test_quotes_protect_a_mark(self, quoted: str) -> None:
        assert values(f"; top\na = {quoted} ; note\n") == [quoted]

    @pytest.mark.parametrize("text", ["it's", '5" wide', '"open', "rock 'n' roll's"])
    def test_other_quotes_do_not(self, text: str) -> None:
        assert values(f"; top\na = {text} ; isn't five\n") == [text]


class TestSeparator:
    def test_every_entry_has_the_preferred_one(self) -> None:
        assert keys("travel:max = 300\nboard:pin=PB10\nspan = main:PB10\n") == [
            "travel:max",
            "board:pin",
            "span",
        ]
        assert keys("a: b = c\nd: 3\n") == ["a", "d"]

    def test_reason_counts(self) -> None:
        assert reason(read("a = 1\nb = 2\nc = x:1\n"), "separator") == ("=", "3 of 3 entries have =")
        assert reason(read("a = 1\nb: 2\n"), "separator") == ("mixed", "1 of 2 entries have =, 1 have :")

    def test_mixed_takes_the_first(self) -> None:
        assert keys("a = x : y\nb : x = y\nc: 1\nd = 1\n") == ["a", "b", "c", "d"]

    def test_mixed_prefers_one_that_is_set_off(self) -> None:
        assert keys("travel:max = 300\ncall: LAMP ON=1\nspan=3\n") == ["travel:max", "call", "span"]

    def test_a_separator_in_a_comment_is_none(self) -> None:
        assert keys("; top\ntravel:max = 300 ; was: 200\nspan = 3\n") == ["travel:max", "span"]

    def test_lines_of_a_value_do_not_count(self) -> None:
        document = read("travel:max = 300\nbody =\n  text: one\n  text: two\n")
        assert document.dialect.separator == "="

    def test_given(self) -> None:
        document = read("a:b = 3\n", separator=":")
        assert [node.key for node in document.nodes if isinstance(node, Entry)] == ["a"]
        assert reason(document, "separator")[1] == "given, not detected"


@pytest.mark.parametrize(
    ("headers", "form"),
    [
        (["arm", "leg"], "kind"),
        (["arm left", "leg"], "space"),
        (['arm "left"', 'leg "right"'], "quoted"),
        (["arm.left", "leg"], "dot"),
        (["arm:left", "leg"], "colon"),
    ],
)
def test_header_forms(headers: list[str], form: str) -> None:
    assert read("".join(f"[{name}]\n" for name in headers)).dialect.header == form


@pytest.mark.parametrize(
    ("text", "way"),
    [
        ("a = 1\nb = 2\n", "none"),
        ("a =\n  1\n", "indent"),
        ("a = 1\\\n2\n", "backslash"),
        ("a = 1\\\n2\nb =\n  3\n", "both"),
    ],
)
def test_continuation(text: str, way: str) -> None:
    assert read(text).dialect.continuation == way


def test_every_trait_has_a_reason() -> None:
    traits = [trait for trait, _, why in read("[a]\nb = 1\n").dialect.reasons if why]
    assert traits == [
        "comments",
        "separator",
        "header",
        "includes",
        "continuation",
        "indented_entries",
        "machine_prefix",
    ]
