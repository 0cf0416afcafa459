"""A file read piece by piece says what the same file says read as a whole."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from outside.ini_files import ini_texts
from syntax.test_total import TEXTS, TRAITS

from cfgaudit.history.over_time.passages import PassageReader
from cfgaudit.history.over_time.sparse import SparseParser, shifted
from cfgaudit.syntax.comment_marks import MARKS, inlines, marks_in_use, marks_told, openings, together
from cfgaudit.syntax.dialect import DETECT, Traits, separator_in_use, separator_told, separators
from cfgaudit.syntax.document import Document, Entry, Header, Include, Node, Span
from cfgaudit.syntax.lines import join, scan
from cfgaudit.syntax.parse import parse, parse_text
from cfgaudit.syntax.piecewise import PieceReader

SECTIONS = st.lists(
    st.builds(lambda name, body: f"\n[{name}]{body}", st.sampled_from("abc"), TEXTS), max_size=5
)
FILES = st.builds(lambda start, sections: start + "".join(sections), TEXTS, SECTIONS)
Saying = (Header, Entry, Include)


def said(document: Document) -> list[Node]:
    """What decides the settings. A byte-order mark is counted to the first node of a whole file."""
    return [_from_the_mark(node, document.text) for node in document.nodes if isinstance(node, Saying)]


def _from_the_mark(node: Node, text: str) -> Node:
    at_start = node.span.start == 0 and text.startswith("\ufeff")
    return node._replace(span=Span(1, node.span.end)) if at_start else node


def in_pieces(reader: PieceReader, text: str, traits: Traits) -> Iterator[Node]:
    """The same, read in pieces; the whole file where it has none."""
    cut = reader.read(text)
    if cut is None:
        yield from said(parse_text(text, "", traits))
        return
    assert cut.text == text
    start = 0
    for piece in cut.pieces:
        nodes = (node for node in piece.nodes(cut.spelling, traits) if isinstance(node, Saying))
        yield from (shifted(node, start) for node in nodes)
        start += len(piece.text)


@settings(max_examples=250, deadline=None)
@given(st.lists(FILES, min_size=1, max_size=4), TRAITS)
def test_pieces_say_what_the_whole_says(texts: list[str], traits: Traits) -> None:
    """With one reader for all versions: what it knows from one must be right in the others."""
    reader = PieceReader(traits)
    for text in [*texts, *texts]:
        assert list(in_pieces(reader, text, traits)) == said(parse_text(text, "", traits))


@settings(max_examples=250, deadline=None)
@given(st.lists(FILES, min_size=1, max_size=4), TRAITS)
def test_passages_are_those_of_the_whole(texts: list[str], traits: Traits) -> None:
    """With one reader for all versions, which reads no line twice: a line says what it says in its file."""
    reader = PassageReader(traits)
    for text in [*texts, *texts]:
        data = text.encode("utf-8", "surrogateescape")
        assert reader.read(data, "a.ini") == PassageReader(traits).whole(data, "a.ini")


@settings(max_examples=200, deadline=None)
@given(st.lists(FILES, max_size=3))
def test_lines_are_told_one_by_one(texts: list[str]) -> None:
    reader = PieceReader(DETECT)
    for text in texts:
        assert reader._lines(text) == scan(text)


def test_files_of_other_programs() -> None:
    reader = PieceReader(DETECT)
    cut = 0
    for path, text in ini_texts():
        assert list(in_pieces(reader, text, DETECT)) == said(parse_text(text, "", DETECT)), path
        found = reader.read(text)
        cut += found is not None and len(found.pieces) > 1
    assert cut, "some of them have several sections"


@settings(max_examples=150, deadline=None)
@given(st.lists(TEXTS, max_size=4))
def test_what_pieces_tell_of_the_dialect_adds_up(bodies: list[str]) -> None:
    pieces = [f"[a]\n{body}\n" for body in bodies]
    lines = [list(join(one, scan(one), frozenset({"indent", "backslash"}))) for one in pieces]
    found = {
        mark: together(
            together([openings(text, own, mark), inlines(text, own, mark)])
            for text, own in zip(["", *pieces], [[], *lines], strict=True)
        )
        for mark in MARKS
    }
    whole = "".join(pieces)
    every = list(join(whole, scan(whole), frozenset({"indent", "backslash"})))
    assert marks_told(found)[0] == marks_in_use(whole, every)[0]
    for marks in ((";",), ("#",), ("#", ";")):
        tally = Counter[str]()
        for text, own in zip(pieces, lines, strict=True):
            tally.update(separators(text, own, marks))
        assert separator_told(tally) == separator_in_use(whole, every, marks, DETECT)


def test_a_piece_is_read_once_and_found_again() -> None:
    reader = PieceReader(DETECT)
    one, other = reader.read("[a]\nx = 1\n\n[b]\ny = 2\n"), reader.read("[c]\nz = 3\n\n[b]\ny = 2\n")
    assert one is not None
    assert other is not None
    assert one.pieces[1] is other.pieces[1]
    assert [piece.text for piece in one.pieces] == ["[a]\nx = 1\n\n", "[b]\ny = 2\n"]


@pytest.mark.parametrize(
    ("text", "pieces"),
    [
        ("x = 1\n[a]\ny = 2\n", ["x = 1\n", "[a]\ny = 2\n"]),
        ("[a]\nlist =\n  1\n[1, 2\n[b]\n", ["[a]\nlist =\n  1\n[1, 2\n", "[b]\n"]),
        ("[a]\n  [b]\n  x = 1\n", ["[a]\n  [b]\n  x = 1\n"]),
        ("", []),
    ],
)
def test_where_it_is_cut(text: str, pieces: list[str]) -> None:
    """At headers in the first column; what merely begins with a bracket cuts nothing."""
    cut = PieceReader(DETECT).read(text)
    assert cut is not None
    assert [one.text for one in cut.pieces] == pieces


def test_a_machine_written_block_is_read_as_a_whole() -> None:
    """Its prefix is told by the whole file."""
    text = "[a]\nx = 1\n\n#~ [a]\n#~ x = 2\n"
    assert PieceReader(DETECT).read(text) is None
    assert PieceReader(Traits(machine_prefix="")).read(text) is not None


@settings(max_examples=100, deadline=None)
@given(st.lists(FILES, min_size=1, max_size=3), TRAITS)
def test_sparse_documents_lack_nothing_that_is_wanted(texts: list[str], traits: Traits) -> None:
    """They are the whole documents without comments and other entries; places are the same."""
    parser = SparseParser(PassageReader(traits), lambda key: key == "reach")
    for text in texts:
        data = text.encode("utf-8", "surrogateescape")
        sparse, whole = parser(data, "a.ini", traits), parse(data, "a.ini", traits)
        wanted = [one for one in said(whole) if not isinstance(one, Entry) or one.key == "reach"]
        assert [one for one in said(sparse) if not isinstance(one, Entry) or one.key == "reach"] == wanted
        assert sparse.data() == whole.data()
        assert sparse.line_starts == whole.line_starts
