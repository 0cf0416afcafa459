"""Edits change what was asked and not one character more. The expectations are written by hand."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.syntax.document import Document, Entry, Header
from cfgaudit.syntax.edits import EditError, adding, edited, removing, replacing
from cfgaudit.syntax.parse import parse, parse_text

TEXT = """\
; top

[arm]
reach  = 30 mm ; long
limits = 1
points =
    1, 2 ; one
    ; between

    3, 4

[leg]

;> saved
;> [arm]
;> turn = 1.5
;> bends =
;>   1, 2
"""


def entry(document: Document, key: str) -> Entry:
    return next(node for node in document.nodes if isinstance(node, Entry) and node.key == key)


def header(document: Document, name: str, author: str = "hand") -> Header:
    return next(
        node
        for node in document.nodes
        if isinstance(node, Header) and node.name == name and node.author == author
    )


def replaced(text: str, key: str, value: str) -> str:
    document = parse_text(text, "one.ini")
    return edited(document, [replacing(document, entry(document, key), value=value)]).text


class TestReplace:
    def test_the_comment_stays(self) -> None:
        assert replaced(TEXT, "reach", "25 mm") == TEXT.replace("30 mm", "25 mm")

    def test_line_ends_and_bytes_stay(self) -> None:
        data = b"\xef\xbb\xbf[arm]\r\nreach = 3 \r\nname = \xff\r\n"
        document = parse(data, "one.ini")
        changed = edited(document, [replacing(document, entry(document, "reach"), value="45")])
        assert changed.data() == data.replace(b"3", b"45")

    def test_one_line_of_several(self) -> None:
        assert replaced(TEXT, "points", "1, 2\n\n5, 6") == TEXT.replace("3, 4", "5, 6")
        assert replaced(TEXT, "points", "0, 0\n\n3, 4") == TEXT.replace("    1, 2 ;", "    0, 0 ;")

    def test_more_lines(self) -> None:
        assert replaced(TEXT, "points", "1, 2\n\n3, 4\n5, 6") == TEXT.replace("3, 4\n", "3, 4\n    5, 6\n")
        assert replaced(TEXT, "points", "1, 2\n7, 8\n\n3, 4") == TEXT.replace("one\n", "one\n    7, 8\n")

    def test_fewer_lines(self) -> None:
        assert replaced(TEXT, "points", "1, 2") == TEXT.replace("\n\n    3, 4\n", "\n")
        assert replaced(TEXT, "points", "3, 4") == TEXT.replace("1, 2 ;", "3, 4 ;").replace(
            "\n\n    3, 4\n", "\n"
        )

    def test_several_lines_for_one_as_the_file_writes_them(self) -> None:
        assert replaced(TEXT, "limits", "1\n2") == TEXT.replace("limits = 1", "limits =\n    1\n    2")
        assert replaced("a = 1 ; x\nb = 2\n  3\n", "a", "1\n2") == "a = 1 ; x\n  2\nb = 2\n  3\n"
        assert replaced("[x]\n\ta = 1\n", "a", "1\n2") == "[x]\n\ta = 1\n\t\t2\n"
        assert replaced("a = 1\r\n", "a", "1\n2") == "a = 1\r\n    2\r\n"
        assert replaced("a = 1", "a", "1\n2") == "a = 1\n    2"

    def test_backslashes(self) -> None:
        text = "a = 1 \\\n  2 \\\n  3\nb = 1\n"
        assert replaced(text, "a", "1\n2") == "a = 1 \\\n  2\nb = 1\n"
        assert replaced(text, "a", "1\n2\n3\n4") == "a = 1 \\\n  2 \\\n  3 \\\n  4\nb = 1\n"
        assert replaced(text, "a", "1\n5\n2\n3") == "a = 1 \\\n  5 \\\n  2 \\\n  3\nb = 1\n"
        assert replaced(text, "b", "1\n2") == "a = 1 \\\n  2 \\\n  3\nb = 1 \\\n  2\n"
        assert replaced(text, "a", "") == "a =\nb = 1\n"

    def test_no_value_and_back(self) -> None:
        assert replaced(TEXT, "limits", "") == TEXT.replace("limits = 1", "limits =")
        assert replaced("; x\na =\nb =   3\n", "a", "5") == "; x\na =   5\nb =   3\n"
        assert replaced("; x\na = ; none\nb = 3\n", "a", "5") == "; x\na = 5 ; none\nb = 3\n"
        assert replaced("a =\n  1\n  2\n", "a", "") == "a =\n"

    def test_what_the_machine_wrote(self) -> None:
        assert replaced(TEXT, "turn", "2.5") == TEXT.replace("1.5", "2.5")
        assert replaced(TEXT, "bends", "1, 2\n\n3, 4") == TEXT + ";>\n;>   3, 4\n"
        assert replaced(TEXT, "turn", "1\n2") == TEXT.replace("turn = 1.5", "turn =\n;>   1\n;>   2")

    @pytest.mark.parametrize(
        ("key", "value", "message"),
        [
            (
                "limits",
                "3 ; 4",
                'one.ini:5: limits cannot become "3 ; 4" here: it would read as "limits = 3"',
            ),
            ("limits", " 3", 'one.ini:5: limits cannot become " 3" here: it would read as "limits = 3"'),
            ("limits", "3\\", 'one.ini:5: limits cannot become "3\\" here: it would read as '),
            ("limits", "1\n", "one.ini:5: limits cannot become '1\\n' here: it would read as "),
            ("points", "1\n; 2", "one.ini:6: points cannot become '1\\n; 2' here: it would read as "),
            ("turn", "[x] ; y", 'one.ini:16: turn cannot become "[x] ; y" here: it would read as '),
        ],
    )
    def test_refused(self, key: str, value: str, message: str) -> None:
        with pytest.raises(EditError) as caught:
            replaced(TEXT, key, value)
        assert str(caught.value).startswith(message)
        assert "\n" not in str(caught.value)

    def test_quotes_make_it_possible(self) -> None:
        assert replaced(TEXT, "limits", '"3 ; 4"') == TEXT.replace("limits = 1", 'limits = "3 ; 4"')

    def test_an_entry_of_another_document(self) -> None:
        with pytest.raises(ValueError, match="none of this document's"):
            replacing(parse_text("a = 1\n", "x"), entry(parse_text("b = 1\n", "x"), "b"), value="2")


def added(text: str, name: str | None, key: str, value: str, author: str = "hand") -> str:
    document = parse_text(text, "one.ini")
    place = header(document, name, author) if name else None
    return edited(document, [adding(document, place, key, value)]).text


class TestAdd:
    def test_behind_the_last_entry_of_the_section(self) -> None:
        assert added(TEXT, "arm", "load", "3") == TEXT.replace("    3, 4\n", "    3, 4\nload   = 3\n")

    def test_separators_in_one_column_stay_so(self) -> None:
        assert (
            added("[a]\nreach  : 1\nx      : 2\n", "a", "span", "3")
            == "[a]\nreach  : 1\nx      : 2\nspan   : 3\n"
        )

    def test_in_an_empty_section_as_elsewhere_in_the_file(self) -> None:
        assert added("[a]\n\tx: 1\n[b]\n", "b", "y", "2") == "[a]\n\tx: 1\n[b]\n\ty: 2\n"
        assert added("[a]\r\nx=1\r\n[b]", "b", "y", "2") == "[a]\r\nx=1\r\n[b]\r\ny=2"

    def test_without_any_entry_to_follow(self) -> None:
        assert added("[a]\n", "a", "y", "2") == "[a]\ny = 2\n"

    def test_before_all_headers(self) -> None:
        assert added(TEXT, None, "unit", "mm") == TEXT.replace("; top\n\n", "; top\n\nunit = mm\n")
        assert added("x = 1\n\n[a]\n", None, "y", "2") == "x = 1\ny = 2\n\n[a]\n"
        assert added("\ufeff[a]\n", None, "y", "2") == "\ufeffy = 2\n[a]\n"
        assert added("", None, "y", "2") == "y = 2\n"

    def test_several_lines(self) -> None:
        assert added(TEXT, "leg", "steps", "1\n\n2") == TEXT.replace(
            "[leg]\n", "[leg]\nsteps =\n    1\n\n    2\n"
        )

    def test_no_value(self) -> None:
        assert added("[a]\nx = 1\n", "a", "y", "") == "[a]\nx = 1\ny =\n"

    def test_what_the_machine_wrote(self) -> None:
        assert added(TEXT, "arm", "load", "3", "machine") == TEXT + ";> load = 3\n"

    @pytest.mark.parametrize(
        ("key", "value"),
        [("a=b", "1"), ("[a", "1"), ("", "1"), ("; a", "1"), ("a", "1 ; 2"), ("include", "x.ini")],
    )
    def test_refused(self, key: str, value: str) -> None:
        with pytest.raises(EditError, match=r"^one\.ini:\d+: .* cannot stand here"):
            added(TEXT, "leg", key, value)


def removed(text: str, key: str) -> str:
    document = parse_text(text, "one.ini")
    return edited(document, [removing(document, entry(document, key))]).text


class TestRemove:
    def test_with_the_comment_behind_it(self) -> None:
        assert removed(TEXT, "reach") == TEXT.replace("reach  = 30 mm ; long\n", "")

    def test_all_its_lines(self) -> None:
        start, end = TEXT.index("points"), TEXT.index("\n[leg]")
        assert removed(TEXT, "points") == TEXT[:start] + TEXT[end:]

    def test_the_byte_order_mark_stays(self) -> None:
        assert removed("\ufeffa = 1\nb = 2\n", "a") == "\ufeffb = 2\n"

    def test_refused_if_others_would_read_differently(self) -> None:
        with pytest.raises(EditError, match=r"^one\.ini:2: reach cannot be removed$"):
            removed(";> [arm]\n;> reach = 4\n", "reach")


PLAIN = ("[arm]\n", "[leg]\r\n", "\n", "; note\n", "# note\n", "a = 1\n", "b: 2 ; two\n", "odd\n", "h =")
LONG = ("c =\n  1\n\n  2 # x\n", "d = 1 \\\n 2\n", "\te = 3\n", "%include x\n")
SAVED = (";> [arm]\n;> f = 1\n", ";> g =\n;>   1\n")
LINES = st.sampled_from(PLAIN + LONG + SAVED)
PIECES = ("1", "a b", "", "#x", "y ; z", "[arm]", "k = 1", "\\", '"q ; r"', " w")
VALUES = st.lists(st.sampled_from(PIECES), max_size=3)


@settings(max_examples=200, deadline=None)
@given(st.lists(LINES, max_size=8).map("".join), VALUES.map("\n".join), st.integers(0, 7), st.data())
def test_nothing_else_changes(text: str, value: str, index: int, data: st.DataObject) -> None:
    """An edit is refused, or reads back as asked with all text outside of the edited place as before."""
    document = parse_text(text, "one.ini")
    found = [node for node in document.nodes if isinstance(node, Entry)]
    if found:
        one = found[index % len(found)]
        before, after = text[: one.key_span.end], text[one.span.end :]
        replaces, removes = replacing(document, one, value=value), removing(document, one)
        hold(lambda: edited(document, [replaces]), before, after, value, found.index(one))
        hold(lambda: edited(document, [removes]), text[: one.span.start], after, None, 0)
    headers = [None, *(node for node in document.nodes if isinstance(node, Header))]
    try:
        changed = edited(document, [adding(document, data.draw(st.sampled_from(headers)), "new", value)])
    except EditError:
        return
    assert [node.value for node in changed.nodes if isinstance(node, Entry) and node.key == "new"] == [value]
    grown = len(changed.text) - len(text)
    assert any(changed.text[:at] + changed.text[at + grown :] == text for at in range(len(text) + 1))


def hold(edit: Callable[[], Document], before: str, after: str, value: str | None, index: int) -> None:
    try:
        changed = edit()
    except EditError:
        return
    assert changed.text.startswith(before)
    assert changed.text.endswith(after)
    if value is None:
        assert changed.text == before + after
    else:
        assert [node.value for node in changed.nodes if isinstance(node, Entry)][index] == value
