"""What each line of a configuration file becomes. The expectations are read off the texts by hand."""

from __future__ import annotations

import pytest

from cfgaudit.syntax.dialect import Traits
from cfgaudit.syntax.document import Blank, Comment, Document, Entry, Header, Include, Unreadable
from cfgaudit.syntax.parse import parse


def read(text: str, **traits: object) -> Document:
    return parse(text.encode("utf-8", "surrogateescape"), "one.ini", Traits(**traits))  # type: ignore[arg-type]


def entries(document: Document) -> list[tuple[str, str]]:
    return [(node.key, node.value) for node in document.nodes if isinstance(node, Entry)]


def kinds(document: Document) -> list[str]:
    return [type(node).__name__ for node in document.nodes]


def test_every_kind_of_line() -> None:
    document = read("; top\n\n[crane arm]\nreach = 30 mm ; long\n%include more.ini\nnonsense\n")
    assert kinds(document) == [
        "Comment",
        "Blank",
        "Header",
        "Entry",
        "Comment",
        "Include",
        "Unreadable",
    ]
    header, entry, inline = document.nodes[2:5]
    assert isinstance(header, Header)
    assert (header.name, header.author) == ("crane arm", "hand")
    assert isinstance(entry, Entry)
    assert (entry.key, entry.separator, entry.value) == ("reach", "=", "30 mm")
    assert inline == Comment(inline.span, "long", inline=True)


def test_spans_point_at_the_text() -> None:
    document = read("[ arm ]\n  reach :  30 mm # long\n")
    header, entry = document.nodes[0], document.nodes[1]
    assert isinstance(header, Header)
    assert isinstance(entry, Entry)
    assert document.text[slice(*header.name_span)] == "arm"
    assert document.text[slice(*entry.key_span)] == "reach"
    assert document.text[slice(*entry.value_span)] == "30 mm"
    assert str(document.place(entry.value_span)) == "one.ini:2:12"


def test_an_unreadable_line_hides_nothing_below_it() -> None:
    document = read("[arm\n reach = 1\nwhat is this\n[leg]\nreach = 2\n")
    assert [node.text for node in document.nodes if isinstance(node, Unreadable)] == ["[arm", "what is this"]
    assert entries(document) == [("reach", "1"), ("reach", "2")]


@pytest.mark.parametrize(
    "text",
    ["[]", "[  ]", "[arm] and more", "= 3", ": 3", "word", "; x\nreach ; = 3", "[arm", "%include", "arm]"],
)
def test_lines_that_are_nothing_known(text: str) -> None:
    assert isinstance(read(text).nodes[-1], Unreadable)


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("[arm]", "arm"),
        ("  [ arm  ]  ", "arm"),
        ('[arm "left"] ; the worn one', 'arm "left"'),
        ("[arm]# note", "arm"),
        ("[arm] ; see [leg]", "arm"),
        ('[arm "a]b"]', 'arm "a]b"'),
        ("[arm.left]", "arm.left"),
        ("[arm:left]", "arm:left"),
    ],
)
def test_header_names(text: str, name: str) -> None:
    header = read(text).nodes[0]
    assert isinstance(header, Header)
    assert header.name == name


class TestBytes:
    """Nothing that an editor or an accident leaves in a file is lost or in the way."""

    def test_byte_order_mark_is_no_part_of_the_first_name(self) -> None:
        document = read("\ufeffreach = 3\n")
        assert entries(document) == [("reach", "3")]
        assert document.nodes[0].span.start == 0

    def test_byte_order_mark_alone(self) -> None:
        assert read("\ufeff").nodes == (Blank((0, 1)),)

    def test_carriage_returns_are_in_no_value(self) -> None:
        document = read("[arm]\r\nreach = 3 ; x\r\nspan =\r\n  1\r\n  2\r\n")
        assert entries(document) == [("reach", "3"), ("span", "1\n2")]
        assert [node.text for node in document.nodes if isinstance(node, Comment)] == ["x"]

    def test_lone_carriage_return_is_white_space(self) -> None:
        assert entries(read("reach =\r3\r\nspan = 4\n")) == [("reach", "3"), ("span", "4")]

    def test_no_final_newline(self) -> None:
        assert entries(read("reach = 3")) == [("reach", "3")]

    def test_bytes_that_are_no_utf8_stay(self) -> None:
        data = b"[arm]\nreach = 3\xb0 \x00\xff\n"
        document = parse(data, "one.ini")
        assert document.data() == data
        assert entries(document) == [("reach", "3\udcb0 \x00\udcff")]

    def test_empty(self) -> None:
        assert read("").nodes == ()


class TestContinuation:
    def test_indented_lines_with_blanks_and_comments_between(self) -> None:
        document = read(
            "points =\n    10, 20 ; one\n\n    ; between\n; at the margin\n    30, 40\nspan = 1\n"
        )
        assert entries(document) == [("points", "10, 20\n\n30, 40"), ("span", "1")]
        entry = document.nodes[0]
        assert isinstance(entry, Entry)
        assert [document.text[slice(*piece)] for piece in entry.value_spans] == ["10, 20", "", "30, 40"]
        comments = [node for node in document.nodes if isinstance(node, Comment)]
        assert [(comment.text, comment.inline) for comment in comments] == [
            ("one", True),
            ("between", False),
            ("at the margin", False),
        ]

    def test_blank_lines_and_comments_behind_a_value_are_not_in_it(self) -> None:
        document = read("points =\n    10, 20\n\n; next\n[arm]\n")
        assert kinds(document) == ["Entry", "Blank", "Comment", "Header"]

    def test_an_indented_entry_is_swallowed_but_can_be_found(self) -> None:
        document = read("reach = 3\n  span = 4\n")
        entry = document.nodes[0]
        assert isinstance(entry, Entry)
        assert entry.value == "3\nspan = 4"
        assert [str(document.place(piece)) for piece in entry.value_spans] == ["one.ini:1:9", "one.ini:2:3"]

    def test_a_list_in_brackets_is_no_header(self) -> None:
        assert entries(read("points =\n  [1, 2]\n  [3, 4]\n")) == [("points", "[1, 2]\n[3, 4]")]

    @pytest.mark.parametrize("lead", ["\t", "    ", " "])
    def test_entries_indented_below_their_headers(self, lead: str) -> None:
        document = read(f"[arm]\n{lead}reach = 3\n{lead}span = 4\n[leg]\n{lead}reach = 5\n")
        assert entries(document) == [("reach", "3"), ("span", "4"), ("reach", "5")]
        assert document.dialect.indented_entries
        assert document.dialect.continuation == "none"

    def test_continued_values_of_indented_entries(self) -> None:
        text = "[arm]\n\tpoints =\n\t\t1\n\t\t2\n\tspan = 4\n"
        assert entries(read(text)) == [("points", "1\n2"), ("span", "4")]

    def test_a_tab_and_eight_columns_are_as_deep(self) -> None:
        assert entries(read("[arm]\n\treach = 3\n        span = 4\n")) == [("reach", "3"), ("span", "4")]

    def test_trailing_backslash(self) -> None:
        document = read("points = 1 \\\n  2 \\\n; aside\n3\nspan = 4\n")
        assert entries(document) == [("points", "1\n2\n3"), ("span", "4")]

    @pytest.mark.parametrize("after", ["\nspan = 4\n", "[arm]\n", ""])
    def test_a_backslash_with_nothing_to_continue_stays(self, after: str) -> None:
        assert entries(read(f"folder = c:\\\n{after}"))[0] == ("folder", "c:\\")

    def test_an_escaped_backslash_continues_nothing(self) -> None:
        assert entries(read("folder = c:\\\\\nspan = 4\n")) == [("folder", "c:\\\\"), ("span", "4")]

    def test_a_backslash_in_a_comment_continues_nothing(self) -> None:
        assert entries(read("a = 1 ; in c:\\\nspan = 4\n")) == [("a", "1"), ("span", "4")]

    def test_a_way_that_is_not_in_use_is_off(self) -> None:
        assert entries(read("a = 1\n  b = 2\n", continuation="none")) == [("a", "1"), ("b", "2")]
        assert entries(read("a = 1\\\nb = 2\n", continuation="indent")) == [("a", "1\\"), ("b", "2")]

    def test_given_indented_entries_are_never_swallowed(self) -> None:
        text = "[arm]\nreach = 3\n  span = 4\n    long\n"
        assert entries(read(text, indented_entries=True)) == [("reach", "3"), ("span", "4\nlong")]

    def test_g_code_comments_in_a_body_are_taken_out(self) -> None:
        document = read("; top\nbody =\n    G28 ; home\n    ; wait\n    G4 P10\n")
        assert entries(document) == [("body", "G28\nG4 P10")]

    def test_comments_of_the_other_kind_in_a_body_stay_text(self) -> None:
        document = read("# top\nbody =\n    G28 ; home\n    ; wait\n    G4 P10\n")
        assert entries(document) == [("body", "G28 ; home\n; wait\nG4 P10")]


class TestIncludes:
    @pytest.mark.parametrize(
        ("line", "target", "form", "folder"),
        [
            ("%include heat.ini", "heat.ini", "%include PATH", False),
            ("!include 'my heat.ini' ; note", "my heat.ini", "!include PATH", False),
            ("@include parts/*.ini", "parts/*.ini", "@include PATH", False),
            ("!includedir parts", "parts", "!includedir DIR", True),
            ("%includedir parts", "parts", "%includedir DIR", True),
            ("@includedir parts", "parts", "@includedir DIR", True),
            ("!Include heat.ini", "heat.ini", "!include PATH", False),
            ("include = heat.ini", "heat.ini", "include = PATH", False),
            ("include: heat.ini # note", "heat.ini", "include: PATH", False),
            ('include = "heat.ini"', "heat.ini", "include = PATH", False),
            ("include heat.ini ; note: old", "heat.ini", "include PATH", False),
            ("[include parts/heat.ini]", "parts/heat.ini", "[include PATH]", False),
            ('[include "parts/heat.ini"]', "parts/heat.ini", "[include PATH]", False),
        ],
    )
    def test_forms(self, line: str, target: str, form: str, folder: bool) -> None:
        document = read(f"{line}\n")
        include = document.nodes[0]
        assert isinstance(include, Include)
        assert (include.target, include.form, include.folder) == (target, form, folder)
        assert document.text[slice(*include.target_span)] == target
        assert document.dialect.includes == (form,)

    def test_section_of_paths(self) -> None:
        document = read("[include]\n\tpath = a.ini\n\tpath = b.ini ; more\n\tnote = 3\n[arm]\npath = c.ini\n")
        includes = [node for node in document.nodes if isinstance(node, Include)]
        assert [(one.target, one.form) for one in includes] == [
            ("a.ini", "[include] path = PATH"),
            ("b.ini", "[include] path = PATH"),
        ]
        assert entries(document) == [("note", "3"), ("path", "c.ini")]

    def test_the_header_form_carries_its_header(self) -> None:
        include = read("[include heat.ini]\n").nodes[0]
        assert isinstance(include, Include)
        assert include.header is not None
        assert include.header.name == "include heat.ini"

    def test_a_path_a_line(self) -> None:
        document = read("include =\n  a.ini\n  ; aside\n  b.ini ; more\nspan = 1\n")
        assert kinds(document) == ["Include", "Comment", "Include", "Comment", "Entry"]
        assert [node.target for node in document.nodes if isinstance(node, Include)] == ["a.ini", "b.ini"]

    @pytest.mark.parametrize("value", ["5", "0.5", "yes", "corners"])
    def test_a_setting_that_happens_to_be_called_include(self, value: str) -> None:
        assert entries(read(f"[arm]\ninclude = {value}\n")) == [("include", value)]

    def test_only_the_given_forms_count(self) -> None:
        document = read("include = a.ini\n%include b.ini\n", includes=("%include PATH",))
        assert kinds(document) == ["Entry", "Include"]


def test_given_comment_marks_replace_the_usual_ones() -> None:
    document = read("// top\n# reach = 3 // note\nspan = 4 # four\n", comments=("//",))
    assert entries(document) == [("# reach", "3"), ("span", "4 # four")]
    assert kinds(document) == ["Comment", "Entry", "Comment", "Entry"]


def test_no_comment_marks_at_all() -> None:
    assert entries(read("a = 1 ; 2\n", comments=())) == [("a", "1 ; 2")]
