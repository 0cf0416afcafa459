"""What is said of one change in a line; the arithmetic is done here by hand."""

from __future__ import annotations

from datetime import UTC, datetime
from math import isclose

import pytest
from history.change_making import change, finding
from hypothesis import given
from hypothesis import strategies as st

from cfgaudit.checks.finding import Severity
from cfgaudit.history.change import ChangeKind, Mark, Revision
from cfgaudit.report.change_words import (
    changes_summary,
    findings_summary,
    meaning_text,
    place_text,
    relative_text,
    revision_text,
    values_text,
)
from report.reviews import made

WHEN = datetime(2026, 11, 10, 8, 5, tzinfo=UTC)


@pytest.mark.parametrize(
    ("before", "after", "told"),
    [
        ("5000 mm/s²", "6500 mm/s²", "+30 %"),
        ("1.4 A", "1.3 A", "−7 %"),
        ("16", "32", "double"),
        ("2.0 ms", "1.0 ms", "half"),
        ("4500", "50000", "× 11"),
        ("10", "35", "× 3.5"),
        ("300", "75", "÷ 4"),
        ("100", "100.5", "+0.5 %"),
    ],
)
def test_ratios(before: str, after: str, told: str) -> None:
    ratio = float(after.split()[0]) / float(before.split()[0])
    one = change("a:b", before, after, role="accel.max", relative=ratio - 1)
    assert relative_text(one) == told


@pytest.mark.parametrize(
    ("role", "before", "after", "told"),
    [
        ("temp.max", "65 °C", "80 °C", "+15 °C"),
        ("home.position", "-5 mm", "-9 mm", "−4 mm"),
        ("travel.max", "485", "470", "−15"),
        ("offset", "1.872 mm", "1.85 mm", "−0.022 mm"),
        ("offset", "1 mm", "1 in", ""),
    ],
)
def test_where_zero_is_a_matter_of_choice_the_difference_counts(
    role: str, before: str, after: str, told: str
) -> None:
    assert relative_text(change("a:b", before, after, role=role, relative=0.1)) == told


def test_of_what_is_no_number_no_ratio_is_told() -> None:
    assert relative_text(change("a:b", "MZV", "EI")) == ""
    assert relative_text(change("a:b", None, "3", relative=1.0)) == ""
    assert relative_text(change("a:b", "25 %", "30 %", role="power.max", relative=0.2)) == ""
    assert relative_text(change("a:b", "5", "-3", role="accel.max", relative=-1.6)) == ""


@given(st.floats(1e-3, 1e3), st.floats(1e-3, 1e3))
def test_a_ratio_read_back_is_the_ratio(before: float, after: float) -> None:
    """``× 4`` is right to a part in 20, a percentage to half of one."""
    ratio = after / before
    told = relative_text(change("a:b", "1", "2", role="accel.max", relative=ratio - 1))
    words = {"double": 2.0, "half": 0.5}
    sign, _, number = told.partition(" ")
    if told in words:
        assert isclose(ratio, words[told], rel_tol=1e-5)
    elif sign == "×":
        assert isclose(float(number), ratio, rel_tol=0.05)
    elif sign == "÷":
        assert isclose(float(number), 1 / ratio, rel_tol=0.05)
    else:
        percent = float(told.removesuffix(" %").replace("−", "-").replace("+", ""))
        assert abs(percent - 100 * (ratio - 1)) <= 0.5001


def test_values() -> None:
    assert values_text(change("a:b", "16", "32")) == "16 → 32"
    assert values_text(change("a:b", None, "32")) == "new: 32"
    assert values_text(change("a:b", "16", None)) == "gone, was 16"
    assert values_text(change("a:b", "", "32")) == "empty → 32"
    assert values_text(change("a:b", "x\n  y", "z")) == "x y → z"
    renamed = change("a:b", "1", "1", kind=ChangeKind.RENAMED, why="was c")
    assert values_text(renamed) == "renamed, was c"
    assert meaning_text(renamed) == "", "it says it already"


def test_a_meaning_is_a_sentence_that_spells_names_as_they_are() -> None:
    assert meaning_text(change("motion:v", "1", "2", why="every axis may be faster")).startswith("Every axis")
    assert (
        meaning_text(change("bed:t", "1", "2", part="heater", why="heater bed is hot"))
        == "Heater bed is hot."
    )
    assert meaning_text(change("ePump:t", "1", "2", part="other", why="ePump runs")) == "ePump runs."
    assert meaning_text(change("a:b", "1", "2")) == ""


def test_places() -> None:
    assert place_text(change("a:b", "1", "2")) == "main.ini:3"
    assert place_text(change("a:b", "1", None)) == "was at main.ini:3"


def test_states() -> None:
    mark = Mark("good/2026-11-10", "1" * 40, WHEN, "Odile", "a vase,\n24 h")
    assert revision_text(Revision("working tree", None)) == "the working tree"
    assert revision_text(Revision("main", "1" * 40, WHEN)) == "main (2026-11-10)"
    marked = revision_text(Revision(mark.name, mark.commit, WHEN, mark))
    assert marked == "good/2026-11-10 (“a vase, 24 h”)"
    other = revision_text(Revision("main", mark.commit, WHEN, mark))
    assert other == "main, marked good/2026-11-10 (“a vase, 24 h”)"
    assert revision_text(Revision(mark.name, mark.commit, WHEN, mark._replace(note=""))) == mark.name


def test_counts() -> None:
    three = [change("a:b", "1", "2", severity=one) for one in (Severity.DANGER, Severity.NOTE, Severity.NOTE)]
    assert changes_summary(three) == "3 changes: 1 danger, 2 notes."
    assert changes_summary(three[:1]) == "1 change, a danger."
    assert findings_summary(made(new=[finding("x")])) == "1 finding is new (1 error)."
    assert findings_summary(made(gone=[finding("x"), finding("y")])) == "No finding is new, 2 are gone."
