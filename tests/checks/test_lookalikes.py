"""Characters that look like another one that was meant.

Which characters look alike is taken by hand from the confusables of Unicode Technical Standard 39.
"""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cfgaudit.checks.lookalikes import MEANT, SUSPICIOUS, find_in_name, find_in_prose, find_in_value


def kinds(text: str) -> list[tuple[str, int]]:
    return [(one.kind, one.start) for one in sorted(find_in_value(text), key=lambda one: one.start)]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("РA4", [("letter", 0)]),
        ("main.PА4", [("letter", 6)]),
        ("РА4", [("letter", 0), ("letter", 1)]),
        ("gpiο14", [("letter", 3)]),
        ("ＰＡ4", [("letter", 0), ("letter", 1)]),
        ("−5", [("minus", 0)]),
        ("10, –5", [("minus", 4)]),
        ("“bed”", [("quote", 0), ("quote", 4)]),
        ("5\u00a0mm", [("space", 1)]),
        ("PA\u200b4", [("unseen", 2)]),
    ],
)
def test_what_is_found_in_a_value(text: str, expected: list[tuple[str, int]]) -> None:
    assert kinds(text) == expected


@pytest.mark.parametrize(
    "text",
    [
        "110 °C",
        "4.7 kΩ",
        "10 µs",
        "5000 mm/s²",
        "0 – 420",
        "0–420",
        "вентилятор",
        "ось",
        "θέση",
        "Düse",
        "Grüße",
        "naïve",
        "±5",
    ],
)
def test_what_is_fine_in_a_value(text: str) -> None:
    assert kinds(text) == []


def test_prose_may_hold_quotes_and_spaces_but_no_mixed_words() -> None:
    assert list(find_in_prose("“Hallo”\u00a0– 5 °C")) == []
    assert [one.kind for one in find_in_prose("G1 X−5")] == ["minus"]
    assert [one.kind for one in find_in_prose("НOME")] == ["letter"]


def test_a_name_holds_no_typographic_quotes() -> None:
    assert [one.kind for one in find_in_name("fan “bed”")] == ["quote", "quote"]


@pytest.mark.parametrize("letter", MEANT)
def test_every_letter_that_is_looked_for_is_no_ascii_and_stands_for_ascii(letter: str) -> None:
    assert not letter.isascii()
    assert MEANT[letter].isascii()
    assert any(word in unicodedata.name(letter) for word in ("CYRILLIC", "GREEK", "FULLWIDTH"))


def test_full_width_letters_are_those_that_compatibility_folds() -> None:
    """Unicode Standard Annex 15: NFKC folds a full-width letter to the plain one."""
    wide = [letter for letter in MEANT if "FULLWIDTH" in unicodedata.name(letter)]
    assert wide
    assert all(unicodedata.normalize("NFKC", letter) == MEANT[letter] for letter in wide)


@given(st.text(st.characters(max_codepoint=127)))
def test_ascii_never_holds_one(text: str) -> None:
    assert [*find_in_name(text), *find_in_value(text), *find_in_prose(text)] == []


@given(st.text(st.sampled_from("aA1 .,-−–РАа“”\u00a0\u200bΩ°µü"), max_size=20))
def test_what_is_found_is_where_it_says_and_is_among_the_suspicious(text: str) -> None:
    for one in [*find_in_name(text), *find_in_value(text), *find_in_prose(text)]:
        assert text[one.start] == one.character
        assert SUSPICIOUS.search(one.character)
