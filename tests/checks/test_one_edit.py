"""Words that are one edit away."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cfgaudit.checks.one_edit import Neighbours, slips
from cfgaudit.nearest import edit_distance

WORDS = st.text("abs", min_size=1, max_size=5)


@given(st.lists(WORDS, max_size=15), WORDS)
def test_neighbours_are_all_words_at_distance_one_but_plurals(words: list[str], word: str) -> None:
    expected = {
        other
        for other in words
        if edit_distance(word, other, 2) == 1 and other != f"{word}s" and word != f"{other}s"
    }
    assert set(Neighbours(words).of(word)) == expected


@given(WORDS)
def test_slips_are_one_edit_away_and_keep_both_ends(word: str) -> None:
    for other in slips(word):
        assert edit_distance(word, other, 2) == 1


@pytest.mark.parametrize(
    ("word", "meant"), [("hgihest", "highest"), ("heatter", "heater"), ("heter", "heater")]
)
def test_a_slip(word: str, meant: str) -> None:
    assert meant in slips(word)


@pytest.mark.parametrize(("word", "other"), [("lever", "level"), ("heate", "heater"), ("limit", "limits")])
def test_no_slip(word: str, other: str) -> None:
    assert other not in slips(word)
