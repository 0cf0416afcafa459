"""Settings that a machine wrote behind a comment mark. The expectations are read off the texts by hand."""

from __future__ import annotations

import pytest

from cfgaudit.syntax.dialect import Traits
from cfgaudit.syntax.document import Comment, Document, Entry, Header
from cfgaudit.syntax.parse import parse


def read(text: str, **traits: object) -> Document:
    return parse(text.encode(), "one.ini", Traits(**traits))  # type: ignore[arg-type]


def written(document: Document) -> list[tuple[str, str]]:
    """What the machine wrote."""
    found = []
    for node in document.nodes:
        if isinstance(node, Header) and node.author == "machine":
            found.append(("[]", node.name))
        elif isinstance(node, Entry) and node.author == "machine":
            found.append((node.key, node.value))
    return found


BLOCK = """\
; by hand
[arm]
reach = 3

;> saved by itself: do not touch
;> [arm]
;> reach = 4 ; measured
;>
;> points =
;>   1, 2
;>
;>   3, 4
;> span: 5
"""


def test_sections_and_entries_behind_a_prefix() -> None:
    document = read(BLOCK)
    assert document.dialect.machine_prefix == ";>"
    assert written(document) == [
        ("[]", "arm"),
        ("reach", "4"),
        ("points", "1, 2\n\n3, 4"),
        ("span", "5"),
    ]
    by_hand = [node for node in document.nodes if isinstance(node, Entry) and node.author == "hand"]
    assert [(entry.key, entry.value) for entry in by_hand] == [("reach", "3")]
    comments = [node.text for node in document.nodes if isinstance(node, Comment)]
    assert comments == ["by hand", "saved by itself: do not touch", "measured"]


def test_spans_leave_the_prefix_out() -> None:
    document = read(BLOCK)
    points = next(node for node in document.nodes if isinstance(node, Entry) and node.key == "points")
    assert [document.text[slice(*piece)] for piece in points.value_spans] == ["1, 2", "", "3, 4"]
    assert str(document.place(points.key_span)) == "one.ini:9:4"


@pytest.mark.parametrize("prefix", ["#~", ";>>", "#|", ";-*-", "#=#"])
def test_prefixes(prefix: str) -> None:
    document = read(f"span = 1\n{prefix} [arm]\n{prefix} reach = 4\n")
    assert document.dialect.machine_prefix == prefix
    assert written(document) == [("[]", "arm"), ("reach", "4")]


def test_without_space_behind_the_prefix() -> None:
    assert written(read(";>[arm]\n;>reach = 4\n;>turn = -1\n")) == [
        ("[]", "arm"),
        ("reach", "4"),
        ("turn", "-1"),
    ]


@pytest.mark.parametrize(
    "text",
    [
        "# [arm]\n# reach = 4\n",
        "## [arm]\n## reach = 4\n",
        ";; [arm]\n;; reach = 4\n",
        "#; [arm]\n#; reach = 4\n",
        ";> reach = 4\n",
        ";> [arm]\n",
        ";> [arm] or so\n;> reach = 4\n",
        "#- [ ] check the belt\n#- [x] oil: done\n",
        "#!/bin/cat\n#! [arm]\n",
        ";> reach = 4\n;> [arm]\n",
        ";> [arm]\n;> never\n;> was\n;> there\n;> reach = 4\n",
    ],
)
def test_comments_that_no_machine_wrote(text: str) -> None:
    document = read(f"{text}span = 1\n")
    assert document.dialect.machine_prefix is None
    assert written(document) == []


def test_every_run_needs_its_own_header() -> None:
    document = read(";> [arm]\n;> reach = 4\n\n;> span = 5\nside = 1\n;> turn = 6\n")
    assert written(document) == [("[]", "arm"), ("reach", "4"), ("span", "5")]


def test_a_value_by_hand_ends_before_the_block() -> None:
    document = read("points =\n  1\n;> [arm]\n;> reach = 4\n  2\n")
    assert [node.value for node in document.nodes if isinstance(node, Entry)] == ["1", "4"]


def test_the_marks_of_the_block_are_not_those_of_the_file() -> None:
    document = read("; top\ncolour = red #ff8800\n#> [arm]\n#> reach = 4\n")
    assert document.dialect.comments == (";",)
    assert next(node.value for node in document.nodes if isinstance(node, Entry)) == "red #ff8800"


def test_a_given_prefix_is_the_only_one() -> None:
    text = ";> [arm]\n;> reach = 4\n## [leg]\n## reach = 5\n"
    assert written(read(text, machine_prefix="##")) == [("[]", "leg"), ("reach", "5")]
    assert written(read(text, machine_prefix="")) == []
