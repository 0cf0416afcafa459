"""Lines: wrapping loses nothing, nothing is wider than it may be, and nothing acts on a terminal."""

from __future__ import annotations

import textwrap
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cfgaudit.report.lines import (
    Piece,
    breadth,
    counted,
    cut,
    fill,
    line,
    one_line,
    padded,
    plain,
    visible,
    wrapped,
)

WORDS = st.lists(
    st.text(st.characters(categories=("L", "N", "P", "S", "M")), min_size=1, max_size=30), max_size=20
)
ASCII_WORDS = st.lists(st.text("abc123-.", min_size=1, max_size=12), min_size=1, max_size=20)


def columns(text: str) -> int:
    """After Unicode's annexes 11 (wide letters take two) and 44 (marks that join take none)."""
    joined = sum(unicodedata.category(letter) in ("Mn", "Me") for letter in text)
    wide = sum(
        unicodedata.east_asian_width(letter) in ("W", "F")
        and unicodedata.category(letter) not in ("Mn", "Me")
        for letter in text
    )
    return len(text) + wide - joined


@given(WORDS, st.integers(2, 60))
def test_wrapping_keeps_every_letter(words: list[str], width: int) -> None:
    shown = list(fill(" ".join(words), width))
    assert "".join("".join(shown).split()) == "".join("".join(words).split())
    assert all(columns(one) <= width for one in shown)


@given(ASCII_WORDS, st.integers(13, 60))
def test_wrapping_as_the_standard_library_does(words: list[str], width: int) -> None:
    text = " ".join(words)
    wanted = textwrap.wrap(text, width, break_long_words=False, break_on_hyphens=False)
    assert list(fill(text, width)) == wanted


@given(WORDS, st.integers(20, 60), st.integers(0, 12), st.text("ab ", max_size=90))
def test_paragraphs_fit(words: list[str], width: int, indent: int, first: str) -> None:
    for one in wrapped(" ".join(words), width, indent, first=first):
        assert columns(plain(one)) <= width


def test_what_stands_before_a_paragraph() -> None:
    opening = line(Piece("name", "strong"), "  ")
    shown = list(wrapped("one two three four", 16, 8, "faint", opening))
    assert [plain(one) for one in shown] == ["name  one two", "        three", "        four"]
    assert shown[0][0] == Piece("name", "strong")
    assert shown[1][1] == Piece("three", "faint")


@given(st.text())
def test_what_is_visible_cannot_act(text: str) -> None:
    shown = visible(text)
    assert not any(unicodedata.category(letter) in ("Cc", "Cf", "Cs", "Zl", "Zp") for letter in shown)


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("\x1b[31m", "\\x1b[31m"),
        ("a\tb", "a b"),
        ("caf\udce9", "caf\\xe9"),
        ("\u202e", "\\u202e"),
        ("\U000e0001", "\\U000e0001"),
        ("grün 5 °C, 漢", "grün 5 °C, 漢"),
    ],
)
def test_written_out(text: str, shown: str) -> None:
    assert visible(text) == shown


@given(st.text(st.characters(categories=("L", "Mn", "Zs", "So"))), st.integers(2, 40))
def test_cutting(text: str, width: int) -> None:
    shown = cut(text, width)
    assert columns(shown) <= width
    assert shown == text or (shown.endswith("…") and text.startswith(shown[:-1]))


@given(st.text(st.characters(categories=("L", "Mn", "So"))), st.integers(0, 40))
def test_padding(text: str, width: int) -> None:
    assert columns(padded(text, width)) == max(columns(text), width)
    assert breadth(text) == columns(text)


def test_one_line() -> None:
    assert one_line("G1 X1\n\n  G28\x07") == "G1 X1 G28\\x07"


def test_counting() -> None:
    assert [counted(count, "pin") for count in (0, 1, 2)] == ["0 pins", "1 pin", "2 pins"]
