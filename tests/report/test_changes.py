"""The story of what changed, as text."""

from __future__ import annotations

from difflib import ndiff

import pytest
from history.change_making import PLACE, accel, change, commit, finding, moves
from history.machines import STORK, edited
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.checks.finding import Severity
from cfgaudit.history.change import Change, ChangeKind, Review, Side, Written
from cfgaudit.report.cautions import CAUTIONS
from cfgaudit.report.changes import changes_lines
from cfgaudit.report.lines import breadth, plain
from cfgaudit.report.recent import recent_lines
from report.reviews import made, reviewed
from report.test_any_text_reported import KEYS, VALUES


def text(review: Review, width: int = 100) -> str:
    return "\n".join(plain(one) for one in changes_lines(review, width))


def flat(review: Review, width: int = 100) -> str:
    return " ".join(text(review, width).split())


def section(name: str, *settings_: tuple[str, str]) -> Side:
    return Side(name, PLACE, tuple(Written(name, key, value, PLACE, "hand") for key, value in settings_))


def test_nothing_changed_is_one_line() -> None:
    assert text(made()) == "Nothing changed from good/2026-11-10 (“a vase, 24 h”) to the working tree."


def test_an_acceleration() -> None:
    """From what to what, both values, how far apart, what it comes to, where, and by which commit."""
    one = accel("x", "6500 mm/s²", "9000 mm/s²", relative=9000 / 6500 - 1, commits=(commit(7),))
    one = one._replace(consequences=(moves("axis.x.shaper_rounding", "mm", 0.1016, 0.1407),))
    said = flat(made([one]))
    for part in (
        "from good/2026-11-10 (“a vase, 24 h”) to the working tree. 1 change, a warning.",
        "Motion warning [axis x] accel 6500 mm/s² → 9000 mm/s² (+38 %)",
        "→ a reversal is now rounded by 0.14 mm, was 0.10",
        "main.ini:3; 0000000 2026-11-01 step 7",
    ):
        assert part in said


def test_what_several_did_together_is_told_once() -> None:
    moved = (moves("axis.x.steps_per_mm", "1/mm", 160.0, 640.0),)
    two = [change(f"motor x:{key}", "1", "2", axis="x", consequences=moved) for key in ("gear", "micro")]
    said = flat(made(two))
    assert said.count("640 steps/mm, was 160 (together with micro)") == 1
    assert said.count("640") == 1
    assert "More under gear." in said


def test_another_part_is_named() -> None:
    moved = tuple(moves(f"axis.{axis}.shaper_rounding", "mm", 0.05, 0.07) for axis in "xy")
    said = flat(made([accel(None, "1", "2", consequences=moved)]))
    assert "axis x and axis y: a reversal is now rounded by 0.07 mm, was 0.05" in said


def test_a_finding_is_told_once_and_under_its_cause() -> None:
    after = edited(
        STORK,
        ("homes to = -5 mm", "homes to = -9 mm"),
        ("corner = 450, 450", "corner = 490, 450"),
        ("%include heat.ini", "%include heat.ini\n%include gone.ini"),
    )
    found = reviewed(STORK, after)
    said = flat(found, 120)
    assert len(found.new) == 3
    for one in found.new:
        assert said.count(one.message) == 1, one.rule
    under, besides = said.split("Findings that are new, besides those told above")
    assert "home-outside-travel" in under
    assert "mesh-outside-travel" in under
    assert "include-missing" in besides


def test_findings_that_are_gone() -> None:
    said = text(made(gone=[finding("home-outside-travel", "it homes elsewhere")]))
    assert "Findings that are gone\n  home-outside-travel: it homes elsewhere.\n" in said


def test_a_macro_is_told_by_its_lines() -> None:
    """Those that Python's own comparison of lines says."""
    before, after = "\nG90\nG1 X10\nG1 Y20\npark", "\nG90\nG1 X15\nG1 Y20\nbeep\npark"
    said = [one.strip() for one in text(made([change("macro a:body", before, after)])).splitlines()]
    expected = [one for one in ndiff(before.splitlines(), after.splitlines()) if one[0] in "+-"]
    assert [one for one in said if one[:2] in ("+ ", "- ")] == expected
    assert "G1 Y20" not in " ".join(said)


def test_a_very_different_macro_is_cut() -> None:
    before, after = ("\n".join(f"G1 {axis}{number}" for number in range(30)) for axis in "XY")
    said = text(made([change("macro a:body", before, after)]))
    assert "and 50 more lines" in said


def test_whole_sections_are_lists() -> None:
    side = section("fan lid", ("drive", "PA1"), ("body", "\nG1\nG2"), *((f"k{n}", "1") for n in range(6)))
    new = Change(ChangeKind.ADDED, "heat", Severity.NOTE, "fan lid", "", None, None, "fan", None, side)
    said = text(made([new]))
    assert "[fan lid]  new" in said
    assert "           drive = PA1\n           body: 2 lines\n" in said
    assert "and 2 more settings" in said
    gone = new._replace(kind=ChangeKind.REMOVED, before=side, after=None)
    assert "[fan lid]  gone" in text(made([gone]))


def test_a_part_that_is_gone_has_no_facts_to_miss() -> None:
    side = section("heater lid", ("drive", "PA1"))
    gone = Change(
        ChangeKind.REMOVED, "heat", Severity.NOTE, "heater lid", "", None, None, "heater", side, None
    )
    gone = gone._replace(consequences=(moves("heater.lid.watts", "W", 60.0, None),))
    assert "60 W" not in text(made([gone]))


def test_settings_that_say_nothing_more_share_a_paragraph() -> None:
    three = [change(f"heater lid:{key}", None, "1", severity=Severity.NOTE) for key in ("p", "i", "d")]
    assert "[heater lid]  new: p = 1; i = 1; d = 1" in text(made(three))
    other = change("heater bed:p", None, "1", severity=Severity.NOTE)
    assert "[heater bed]  new: p = 1" in text(made([*three, other]))


def test_what_the_machine_wrote_and_what_has_no_effect_stand_apart() -> None:
    mine = change("heater lid:p", "1", "2", severity=Severity.NOTE, author="machine", commits=(commit(3),))
    idle = change("heater lid:i", "1", "2", effective=False, why="b.ini:4 counts")
    said = text(made([mine, idle]))
    assert "The machine wrote itself  0000000 2026-11-01 step 3\n  [heater lid] p 1 → 2\n" in said
    assert "Without effect\n  [heater lid] i 1 → 2; b.ini:4 counts\n" in said
    dangerous = mine._replace(severity=Severity.DANGER)
    assert "written by the machine" in text(made([dangerous]))
    assert "The machine wrote itself" not in text(made([dangerous]))


def test_cautions_stand_under_a_danger_alone() -> None:
    assert CAUTIONS not in flat(made([accel("x", "1", "2")]))
    assert CAUTIONS in flat(made([accel("x", "1", "2", severity=Severity.DANGER)]))
    danger = finding("heater-unguarded")._replace(severity=Severity.DANGER)
    assert CAUTIONS in flat(made(new=[danger]))


def test_what_is_in_no_commit() -> None:
    both = accel("x", "1", "2", commits=(commit(1),), uncommitted=True)
    only = accel("y", "1", "2", uncommitted=True)
    said = flat(made([both, only]))
    assert "Where no commit is named, it is not committed yet." in said
    assert said.count("and not committed yet") == 1
    assert "committed yet" not in flat(made([accel("x", "1", "2", commits=(commit(1),))]))


def test_of_many_commits_the_last_is_named() -> None:
    said = flat(made([accel("x", "1", "2", commits=tuple(map(commit, range(1, 6))))]))
    assert "5 commits, last 0000000 2026-11-01 step 5" in said
    assert "step 4" not in said


TEXTS = st.sampled_from([*KEYS, *VALUES])


@st.composite
def any_change(draw: st.DrawFn) -> Change:
    name, key, one, other = (draw(TEXTS) for _ in range(4))
    kind = draw(st.sampled_from(ChangeKind))
    whole = draw(st.booleans())
    before = None if kind is ChangeKind.ADDED else section(name, (key, one), (other, one))
    after = None if kind is ChangeKind.REMOVED else section(name, (key, other), (other, other))
    if not whole:
        before = before and before._replace(settings=before.settings[:1])
        after = after and after._replace(settings=after.settings[:1])
    return Change(
        kind,
        "heat",
        draw(st.sampled_from(Severity)),
        name,
        "" if whole else key,
        None,
        draw(st.sampled_from([None, "x"])),
        "heater",
        before,
        after,
        draw(TEXTS),
        draw(st.sampled_from([None, -1.5, 0.3, 1e6])),
        draw(st.booleans()),
        draw(st.sampled_from(["hand", "machine"])),
        (moves(f"axis.{key}.travel", "mm", 1.0, 2.0),),
        (finding(other, one),),
        tuple(commit(n)._replace(summary=other) for n in range(draw(st.integers(0, 5)))),
        draw(st.booleans()),
    )


@settings(max_examples=60, deadline=None)
@given(st.lists(any_change(), max_size=4), st.sampled_from([40, 57, 80, 120]))
def test_any_text_fits_its_width(changes: list[Change], width: int) -> None:
    found = [one for change_ in changes for one in change_.findings]
    review = made(changes, new=found, gone=found)
    for one in (*changes_lines(review, width), *recent_lines(review, width)):
        shown = plain(one)
        assert breadth(shown) <= width, shown
        assert shown.isprintable()


@pytest.mark.parametrize("width", [40, 80, 120])
def test_the_short_form_has_a_line_a_change(width: int) -> None:
    lines = [plain(one) for one in recent_lines(made([accel(axis, "1", "2") for axis in "xyz"]), width)]
    assert [one.split()[:3] for one in lines if "[axis" in one] == [
        ["warning", "[axis", f"{axis}]"] for axis in "xyz"
    ]
