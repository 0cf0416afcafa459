"""The nearest of several names."""

from __future__ import annotations

from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cfgaudit.nearest import FEW, NearNames, edit_distance, nearest, or_nearest

WORDS = st.text("abc", max_size=6)


def reference(one: str, other: str) -> int:
    """Optimal string alignment, straight from its recursive definition (F. J. Damerau, CACM 7 (1964) 171)."""

    @cache
    def of(i: int, j: int) -> int:
        if min(i, j) == 0:
            return max(i, j)
        best = min(of(i - 1, j) + 1, of(i, j - 1) + 1, of(i - 1, j - 1) + (one[i - 1] != other[j - 1]))
        if i > 1 and j > 1 and one[i - 1] == other[j - 2] and one[i - 2] == other[j - 1]:
            best = min(best, of(i - 2, j - 2) + 1)
        return best

    return of(len(one), len(other))


@given(WORDS, WORDS, st.integers(0, 6))
def test_the_distance_is_that_of_the_definition(one: str, other: str, most: int) -> None:
    assert edit_distance(one, other, most) == min(reference(one, other), most + 1)


@given(WORDS, WORDS)
def test_the_distance_is_symmetric(one: str, other: str) -> None:
    assert edit_distance(one, other, 6) == edit_distance(other, one, 6)


@pytest.mark.parametrize(
    ("name", "expected"),
    [("haeter", "heater"), ("Heater", "heater"), ("fna", "fan"), ("probe", None), ("", None)],
)
def test_the_nearest(name: str, expected: str | None) -> None:
    assert nearest(name, ["heater", "fan", "sensor"]) == expected


def test_a_suggestion_in_words() -> None:
    assert or_nearest("haeter", ["heater", "fan"]) == "haeter (did you mean heater?)"
    assert or_nearest("probe", ["heater", "fan"]) == "probe"


@given(WORDS, st.lists(WORDS, max_size=FEW))
def test_of_few_names_the_same_one_as_of_any(name: str, names: list[str]) -> None:
    assert NearNames(names).nearest(name) == nearest(name, dict.fromkeys(names))


@pytest.mark.parametrize("written", ["chambor", "chmaber", "chambe", "chammber"])
def test_of_many_names_the_one_that_was_meant(written: str) -> None:
    many = [f"part {one}{other}" for one in "abcdefghij" for other in "klmnopqrst"]
    assert NearNames([*many, "chamber", "chimney"]).nearest(written) == "chamber"
    assert NearNames(many).nearest(written) is None
