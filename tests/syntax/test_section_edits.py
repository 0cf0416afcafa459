"""Edits of names and whole sections change what was asked and not one character more; written by hand."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.syntax.document import Document, Entry, Header
from cfgaudit.syntax.edits import EditError, edited, removing, replacing
from cfgaudit.syntax.parse import parse, parse_text
from cfgaudit.syntax.section_edits import (
    NewSection,
    adding_section,
    removing_section,
    renaming,
)

TEXT = """\
; about this file

[arm]
reach = 30 mm  ; long

; of the left leg
; and the right one
[leg] ; two of them
limits = 1
points =
    1, 2
    ; between
    3, 4
; end of the leg

; loose

[foot]
size = 44

;> saved by itself
;> [arm]
;> turn = 1.5
;>
;> [leg]
;> bend = 2
"""


def header(document: Document, name: str, author: str = "hand") -> Header:
    found = (node for node in document.nodes if isinstance(node, Header) and node.author == author)
    return next(node for node in found if node.name == name)


def entry(document: Document, key: str) -> Entry:
    return next(node for node in document.nodes if isinstance(node, Entry) and node.key == key)


def removed(text: str, name: str, author: str = "hand") -> str:
    document = parse_text(text, "one.ini")
    return edited(document, [removing_section(document, header(document, name, author))]).text


def added(text: str, section: NewSection, after: str | None = None) -> str:
    document = parse_text(text, "one.ini")
    place = header(document, after) if after else None
    return edited(document, [adding_section(document, section, place)]).text


def renamed(text: str, name: str, new: str, author: str = "hand") -> str:
    document = parse_text(text, "one.ini")
    return edited(document, [renaming(document, header(document, name, author), new)]).text


class TestRename:
    def test_only_the_name_between_the_brackets(self) -> None:
        assert renamed(TEXT, "leg", "left leg") == TEXT.replace("[leg] ;", "[left leg] ;")
        assert renamed("[ arm ]  # x\r\na=1", "arm", "leg") == "[ leg ]  # x\r\na=1"

    def test_quotes_are_part_of_it(self) -> None:
        assert renamed('[fan "left"]\n', 'fan "left"', 'fan "right"') == '[fan "right"]\n'

    def test_what_the_machine_wrote(self) -> None:
        assert renamed(TEXT, "arm", "hand", "machine") == TEXT.replace(";> [arm]", ";> [hand]")

    @pytest.mark.parametrize("name", ["", " leg", "a]; [b", "include x.ini", "a\nb"])
    def test_refused(self, name: str) -> None:
        with pytest.raises(EditError, match=r"^one\.ini:3: \[arm\] cannot become .*"):
            renamed(TEXT, "arm", name)

    def test_a_key(self) -> None:
        document = parse_text(TEXT, "one.ini")
        edit = replacing(document, entry(document, "reach"), key="span")
        assert edited(document, [edit]).text == TEXT.replace("reach", "span")
        with pytest.raises(EditError, match=r'^one\.ini:4: reach cannot become "a=b" here: it would read '):
            edited(document, [replacing(document, entry(document, "reach"), key="a=b")])

    def test_key_and_value_at_once(self) -> None:
        document = parse_text(TEXT, "one.ini")
        edit = replacing(document, entry(document, "reach"), key="span", value="20 mm")
        assert edited(document, [edit]).text == TEXT.replace("reach = 30 mm", "span = 20 mm")


class TestRemove:
    def test_with_its_own_comments_and_one_gap(self) -> None:
        start, end = TEXT.index("; of the left"), TEXT.index("; loose")
        assert removed(TEXT, "leg") == TEXT[:start] + TEXT[end:]

    def test_the_comment_of_the_file_stays(self) -> None:
        text = "; about all\n[arm]\na = 1\n\n[leg]\nb = 2\n"
        assert removed(text, "arm") == "; about all\n\n[leg]\nb = 2\n"

    def test_at_the_end_the_gap_before_it_goes(self) -> None:
        assert removed("[arm]\na = 1\n\n\n[leg]\nb = 2\n", "leg") == "[arm]\na = 1\n"
        assert removed("[arm]\na = 1\n\n[leg]\nb = 2", "leg") == "[arm]\na = 1\n"

    def test_without_gaps(self) -> None:
        assert removed("[a]\nx=1\n[b]\ny=2\n[c]\nz=3\n", "b") == "[a]\nx=1\n[c]\nz=3\n"

    def test_comments_that_touch_a_neighbour_are_the_neighbours(self) -> None:
        text = "[a]\nx=1\n; behind a, before b\n[b]\ny=2\n; of c\n[c]\n"
        assert removed(text, "b") == "[a]\nx=1\n; behind a, before b\n; of c\n[c]\n"

    def test_what_includes_files_stays(self) -> None:
        text = "[a]\nx = 1\n\n[b]\n; of the file below\n%include more.ini\ny = 2\n\n[c]\nz = 3\n"
        assert removed(text, "b") == text.replace("[b]\n", "").replace("y = 2\n", "")

    def test_a_header_alone(self) -> None:
        assert removed("[a]\n\n[b]\n\n[c]\n", "b") == "[a]\n\n[c]\n"
        assert removed("[a]\n", "a") == ""

    def test_what_the_machine_wrote(self) -> None:
        assert removed(TEXT, "leg", "machine") == TEXT[: TEXT.index(";>\n")]
        assert removed(TEXT, "arm", "machine") == TEXT.replace(";> [arm]\n;> turn = 1.5\n", "")

    def test_the_block_that_a_machine_wrote_stays_when_the_section_above_it_goes(self) -> None:
        assert removed(TEXT, "foot") == TEXT.replace("[foot]\nsize = 44\n\n", "")

    def test_bytes_stay(self) -> None:
        data = b"\xef\xbb\xbf[a]\r\nx = \xff\r\n\r\n[b]\r\ny = 2\r\n"
        document = parse(data, "one.ini")
        assert (
            edited(document, [removing_section(document, header(document, "b"))]).data()
            == b"\xef\xbb\xbf[a]\r\nx = \xff\r\n"
        )
        assert (
            edited(document, [removing_section(document, header(document, "a"))]).data()
            == b"\xef\xbb\xbf[b]\r\ny = 2\r\n"
        )


class TestAdd:
    def test_at_the_end_before_what_the_machine_wrote(self) -> None:
        section = NewSection("toe", (("size", "3"), ("points", "1\n2")))
        text = "[toe]\nsize = 3\npoints =\n    1\n    2\n"
        assert added(TEXT, section) == TEXT.replace("size = 44\n", "size = 44\n\n" + text)

    def test_behind_a_section_and_its_comments(self) -> None:
        section = NewSection("toe", (("size", "3"),))
        assert added(TEXT, section, "leg") == TEXT.replace("of the leg\n", "of the leg\n\n[toe]\nsize = 3\n")

    def test_in_the_file_s_own_style(self) -> None:
        section = NewSection("c", (("long one", "3"),))
        assert added("[a]\r\nx: 1\r\n", section) == "[a]\r\nx: 1\r\n\r\n[c]\r\nlong one: 3\r\n"
        assert added("[a]\nx=1\n[b]\ny=2", section) == "[a]\nx=1\n[b]\ny=2\n[c]\nlong one=3"
        assert added("  [a]\n\tx = 1\n", section) == "  [a]\n\tx = 1\n\n  [c]\n\tlong one = 3\n"

    def test_in_an_empty_file(self) -> None:
        section = NewSection("c", (("x", "3"),))
        assert added("", section) == "[c]\nx = 3\n"
        assert added("\ufeff", section) == "\ufeff[c]\nx = 3\n"
        assert added("; nothing yet\n", section) == "; nothing yet\n\n[c]\nx = 3\n"

    def test_verbatim(self) -> None:
        lines = ("; measured twice", "[c]  # new", "x   =   3 ; three")
        section = NewSection("c", (("x", "3"),), lines=lines)
        assert added("[a]\r\ny = 1\r\n", section) == "[a]\r\ny = 1\r\n\r\n" + "\r\n".join(lines) + "\r\n"

    def test_as_the_machine_writes(self) -> None:
        section = NewSection("foot", (("size", "4"),), "machine")
        assert added(TEXT, section) == TEXT + ";>\n;> [foot]\n;> size = 4\n"

    def test_a_block_where_there_is_none(self) -> None:
        lines = (";> [foot]", ";> size = 4")
        section = NewSection("foot", (("size", "4"),), "machine", lines)
        assert added("[a]\nx = 1\n", section) == "[a]\nx = 1\n\n;> [foot]\n;> size = 4\n"

    @pytest.mark.parametrize(
        "section",
        [
            NewSection("a]; [b"),
            NewSection("a", (("b", "1 ; 2"),)),
            NewSection("a", (("include", "x.ini"),)),
            NewSection("a", (("b", "1"),), lines=("[a]", "b = 2")),
        ],
    )
    def test_refused(self, section: NewSection) -> None:
        with pytest.raises(EditError, match=r"^one\.ini:\d+: \[.*\] cannot stand here"):
            added(TEXT, section)


class TestSeveral:
    def test_at_once(self) -> None:
        document = parse_text(TEXT, "one.ini")
        edits = [
            removing_section(document, header(document, "leg")),
            removing(document, entry(document, "reach")),
            adding_section(document, NewSection("toe", (("size", "3"),)), header(document, "arm")),
        ]
        start, end = TEXT.index("; of the left"), TEXT.index("; loose")
        expected = TEXT[:start] + TEXT[end:]
        expected = expected.replace("reach = 30 mm  ; long\n", "\n[toe]\nsize = 3\n")
        assert edited(document, edits).text == expected

    def test_a_section_more_behind_one_that_goes(self) -> None:
        text = "[a]\nx = 1\n\n[b]\ny = 2\n\n"
        document = parse_text(text, "one.ini")
        edits = [
            removing_section(document, header(document, "b")),
            adding_section(document, NewSection("c", (("z", "3"),))),
        ]
        assert [line for line in edited(document, edits).text.split("\n") if line] == [
            "[a]",
            "x = 1",
            "[c]",
            "z = 3",
        ]


PLAIN = ("[arm]\n", "[leg] ; two\r\n", "\n", "; note\n", "# note\n", "a = 1\n", "b: 2 ; two\n", "odd\n")
LONG = ("c =\n  1\n\n  2 # x\n", "d = 1 \\\n 2\n", "\te = 3\n", "%include x\n", "[include y]\n")
SAVED = (";> [arm]\n;> f = 1\n", ";> g =\n;>   1\n", ";>\n")
TEXTS = st.lists(st.sampled_from(PLAIN + LONG + SAVED), max_size=9).map("".join)


@settings(max_examples=200, deadline=None)
@given(TEXTS, st.data())
def test_nothing_else_goes(text: str, data: st.DataObject) -> None:
    """A removal is refused, or what stays are the other lines in their order, and all that these say."""
    document = parse_text(text, "one.ini")
    headers = [node for node in document.nodes if isinstance(node, Header)]
    if not headers:
        return
    one = data.draw(st.sampled_from(headers))
    try:
        changed = edited(document, [removing_section(document, one)])
    except EditError:
        return
    rest = iter(text.split("\n"))
    assert all(line in rest for line in changed.text.split("\n")[:-1]), "lines are only left out"
    left = [node.name for node in changed.nodes if isinstance(node, Header)]
    assert left == [node.name for node in headers if node is not one]


@settings(max_examples=200, deadline=None)
@given(TEXTS, st.sampled_from(["hand", "machine"]), st.data())
def test_one_stretch_more(text: str, author: str, data: st.DataObject) -> None:
    """A section more is refused, or one stretch more stands in a text that is otherwise the same."""
    document = parse_text(text, "one.ini")
    headers = [node for node in document.nodes if isinstance(node, Header) and node.author == author]
    after = data.draw(st.sampled_from([None, *headers]))
    section = NewSection("new", (("k", "1\n2"), ("l", "3")), "hand" if author == "hand" else "machine")
    try:
        changed = edited(document, [adding_section(document, section, after)])
    except EditError:
        return
    grown = len(changed.text) - len(text)
    assert any(changed.text[:at] + changed.text[at + grown :] == text for at in range(len(text) + 1))
    new = header(changed, "new", author)
    below = [node for node in changed.nodes if isinstance(node, Entry) and node.span.start > new.span.start]
    assert [(node.key, node.value) for node in below[:2]] == [("k", "1\n2"), ("l", "3")]


@settings(max_examples=200, deadline=None)
@given(TEXTS, st.sampled_from(["x", "two words", 'kind "label"', "a]", "", "include z"]), st.data())
def test_only_the_name(text: str, name: str, data: st.DataObject) -> None:
    document = parse_text(text, "one.ini")
    headers = [node for node in document.nodes if isinstance(node, Header)]
    if not headers:
        return
    one = data.draw(st.sampled_from(headers))
    try:
        changed = edited(document, [renaming(document, one, name)])
    except EditError:
        return
    assert changed.text == text[: one.name_span.start] + name + text[one.name_span.end :]
