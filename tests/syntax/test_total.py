"""Whatever is in a file: it parses, it prints back the same, and every character has its node."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.syntax.dialect import Traits
from cfgaudit.syntax.document import Comment, Document, Entry, Header, Include
from cfgaudit.syntax.grammars import load_parser
from cfgaudit.syntax.lines import scan
from cfgaudit.syntax.parse import parse

WHITE = ("\n", "\r\n", "\r", "\n\n", "\t", "  ", "    ", " ", "\u00a0", "\u2028", "\x1c", "\ufeff")
MARKS = ("=", ":", " = ", ": ", "[", "]", "#", ";", " ; ", "#~", ";> ", "\n#~ ", "\\", "\\\n", '"', "'", "''")
WORDS = ("reach", "12", "é", "\x00", "\udc80", "%", "%include ", "!includedir x", "include", "path")
LINES = (
    "[arm]",
    "[arm x]",
    "[include]",
    "[include x]",
    "reach = 3\n",
    "  deep\n",
    "\n#~ [arm]\n#~ reach = 1\n",
)
PIECES = st.sampled_from(WHITE + MARKS + WORDS + LINES)
TEXTS = st.lists(PIECES, max_size=40).map("".join)
TRAITS = st.builds(
    Traits,
    comments=st.sampled_from([None, (), (";",), ("#",), ("//", "#")]),
    separator=st.sampled_from([None, "=", ":", "mixed"]),
    continuation=st.sampled_from([None, "none", "indent", "backslash", "both"]),
    indented_entries=st.sampled_from([None, True, False]),
    machine_prefix=st.sampled_from([None, "", "#~", "##"]),
)


def hold(document: Document, data: bytes) -> None:
    """The promises of a document."""
    text = document.text
    assert document.data() == data
    assert list(document.line_starts) == [0, *(at + 1 for at, one in enumerate(text) if one == "\n")]
    end, whole = 0, (0, 0)
    for node in document.nodes:
        if node.span.start == end and node.span.end > end:
            whole, end = node.span, node.span.end
        else:
            assert isinstance(node, Comment)
            assert whole[0] <= node.span.start <= node.span.end <= whole[1]
    assert end == len(text)
    starts = [node.span.start for node in document.nodes]
    assert starts == sorted(starts)
    for node in document.nodes:
        hold_parts(document, node)


def hold_parts(document: Document, node: object) -> None:
    """The places within one node are within it, and say what it says."""
    text = document.text
    if isinstance(node, Header):
        parts, words = [node.name_span], [node.name]
    elif isinstance(node, Entry):
        parts, words = [node.key_span, *node.value_spans], [node.key, *node.value.split("\n")]
        assert node.key
        assert node.value == node.value.strip()
        assert text[node.key_span.end : node.value_span.start].strip(" ")
    elif isinstance(node, Include):
        parts, words = [node.target_span], [node.target]
    else:
        return
    assert [text[start:end] for start, end in parts] == words
    edges = [node.span.start, *(edge for part in parts for edge in part), node.span.end]
    assert edges == sorted(edges)
    assert all(word == word.strip() for word in words) or isinstance(node, Include)


@settings(max_examples=300, deadline=None)
@given(TEXTS)
def test_any_text_of_configuration_pieces(text: str) -> None:
    data = text.encode("utf-8", "surrogateescape")
    hold(parse(data, "one.ini"), data)


@settings(max_examples=150, deadline=None)
@given(TEXTS, TRAITS)
def test_any_traits(text: str, traits: Traits) -> None:
    data = text.encode("utf-8", "surrogateescape")
    hold(parse(data, "one.ini", traits), data)


@settings(max_examples=150, deadline=None)
@given(st.text(max_size=200))
def test_any_text(text: str) -> None:
    data = text.encode("utf-8", "surrogatepass")
    hold(parse(data, "one.ini"), data)


@settings(max_examples=150, deadline=None)
@given(st.binary(max_size=300))
def test_any_bytes(data: bytes) -> None:
    hold(parse(data, "one.ini"), data)


@pytest.mark.parametrize(
    "text",
    [
        "\n" * 50_000,
        "a =\n" + "\n" * 50_000,
        " " * 500_000,
        "=" * 500_000,
        "a" + ":=" * 250_000,
        "[" * 500_000,
        "[a" + "] " * 250_000,
        "a = " + ' "' * 250_000 + " #",
        "a = #" + "b #" * 200_000,
        "a ; b: x\n" + "  c ; d: e\n" * 20_000,
        "a = 1\\\n" * 30_000,
        "#~[a]\n#~b=1\n" * 10_000,
        "".join(f"#{'~' * length}[a]\n" for length in range(500)),
        "include =\n" + " a\n ;b\n" * 20_000,
    ],
    ids=lambda text: ascii(text[:12]),
)
def test_what_would_take_ages_if_anything_were_quadratic(text: str) -> None:
    data = text.encode()
    hold(parse(data, "one.ini"), data)


class Tokens:
    """What the grammar's rule yields: its tokens."""

    def start(self, tokens: list[str]) -> list[str]:
        return tokens


PARSE_LINES = load_parser("config", callbacks=Tokens())


@given(TEXTS)
def test_the_parser_takes_whatever_the_lexer_gives(text: str) -> None:
    # The program only asks the lexer; that LALR parsing by lark takes every text is the grammar's promise.
    lines = [(token.type, str(token)) for token in PARSE_LINES(text) if token.type != "MARK"]
    assert [(line.kind, text[line.start : line.end]) for line in scan(text)] == lines
