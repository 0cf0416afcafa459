"""Findings as text: by file, each with its line and the place marked, one summary line at the end."""

from __future__ import annotations

import pytest

from cfgaudit.checks.finding import Finding, Findings, Severity, Skipped
from cfgaudit.report.findings import count_severities, findings_lines
from cfgaudit.report.lines import breadth, plain
from cfgaudit.syntax.document import Document, Place
from cfgaudit.syntax.parse import parse

MAIN = "[fan left]\npin = PA1   ; wired by Odile\n漢字 = PA1\n" + "x" * 200 + " = " + "y" * 200 + "\n"
PART = "[fan right]\n\tpin = PA1\n"


def documents() -> dict[str, Document]:
    return {"main.ini": parse(MAIN.encode(), "main.ini"), "parts/r.ini": parse(PART.encode(), "parts/r.ini")}


def finding(place: Place, *related: Place, severity: Severity = Severity.ERROR) -> Finding:
    return Finding(
        rule="pin-shared",
        severity=severity,
        concern="wiring",
        message="fan left and fan right share PA1",
        where=place,
        related=related,
        advice="Give one of them another pin",
        fingerprint="0" * 16,
    )


def shown(
    *findings: Finding, width: int = 80, skipped: bool = False, skips: tuple[Skipped, ...] = ()
) -> list[str]:
    lines = findings_lines("main.ini", documents(), Findings(findings, skips), width, skipped=skipped)
    return [plain(one) for one in lines]


def test_a_finding() -> None:
    lines = shown(finding(Place("main.ini", 2, 7, 2, 10), Place("parts/r.ini", 2, 8, 2, 11)))
    assert lines == [
        "main.ini",
        "",
        "  2:7  error  pin-shared",
        "    fan left and fan right share PA1.",
        "    │ pin = PA1   ; wired by Odile",
        "    │       ▔▔▔",
        "    see parts/r.ini:2: pin = PA1",
        "    → Give one of them another pin.",
        "",
        "main.ini and 1 file that it includes, 4 settings: 1 error.",
    ]


def test_files_are_named_once() -> None:
    lines = shown(
        finding(Place("main.ini", 1, 2, 1, 5)),
        finding(Place("main.ini", 2, 7, 2, 10)),
        finding(Place("parts/r.ini", 2, 8, 2, 11)),
    )
    assert [one for one in lines if one.endswith(".ini") and not one.startswith(" ")] == [
        "main.ini",
        "parts/r.ini",
    ]


@pytest.mark.parametrize(
    ("place", "under"),
    [
        (Place("main.ini", 2, 7, 2, 10), "PA1"),
        (Place("parts/r.ini", 2, 8, 2, 11), "PA1"),
        (Place("main.ini", 3, 6, 3, 9), "PA1"),
        (Place("main.ini", 3, 1, 3, 3), "漢字"),
    ],
)
def test_the_mark_stands_below_its_place(place: Place, under: str) -> None:
    """Also behind a tab and behind letters that take two columns."""
    lines = shown(finding(place))
    at = next(number for number, one in enumerate(lines) if "▔" in one)
    start = lines[at].index("▔")
    length = lines[at].count("▔")
    above = lines[at - 1]
    before = above[: above.index(under)]
    assert (breadth(before), breadth(under)) == (start, length)


def test_a_place_far_right_in_a_long_line_is_seen() -> None:
    lines = shown(finding(Place("main.ini", 4, 204, 4, 404)))
    at = next(number for number, one in enumerate(lines) if "▔" in one)
    assert lines[at - 1].startswith("    │ …x")
    assert lines[at - 1].endswith("y…")
    assert lines[at - 1].index("y") == lines[at].index("▔")
    assert max(map(breadth, lines)) <= 80


def test_another_place_on_the_same_line_is_marked_there() -> None:
    lines = shown(finding(Place("main.ini", 2, 7, 2, 10), Place("main.ini", 2, 1, 2, 4)))
    assert "    │ ···   ▔▔▔" in lines
    assert not any("see" in one for one in lines)


def test_very_many_places_are_counted() -> None:
    related = [Place("main.ini", 1, column, 1, column + 1) for column in range(1, 5)]
    related += [Place(f"other{number}.ini", 1, 1, 1, 2) for number in range(30)]
    lines = shown(finding(Place("main.ini", 2, 7, 2, 10), *related))
    assert sum("see " in one for one in lines) == 8
    assert "    and 23 more places" in lines


def test_a_place_in_a_file_that_is_not_at_hand() -> None:
    lines = shown(finding(Place("gone.ini", 7, 1, 7, 2), Place("gone.ini", 9, 1, 9, 2)))
    assert "gone.ini" in lines
    assert "    see line 9" in lines


def test_cautions_stand_under_a_danger_and_only_there() -> None:
    words = "no proof that a machine is safe"
    assert words in " ".join(shown(finding(Place("main.ini", 1, 1, 1, 2), severity=Severity.DANGER)))
    for severity in (Severity.ERROR, Severity.WARNING, Severity.NOTE):
        assert words not in " ".join(shown(finding(Place("main.ini", 1, 1, 1, 2), severity=severity)))


def test_the_summary() -> None:
    place = Place("main.ini", 1, 1, 1, 2)
    several = [finding(place, severity=one) for one in (Severity.NOTE, Severity.DANGER, Severity.NOTE)]
    assert shown(*several)[-1] == "main.ini and 1 file that it includes, 4 settings: 1 danger, 2 notes."
    assert shown() == ["main.ini and 1 file that it includes, 4 settings: nothing found."]
    assert dict(count_severities(Findings(tuple(several)))) == {
        "danger": 1,
        "error": 0,
        "warning": 0,
        "note": 2,
    }


def test_rules_that_could_not_run() -> None:
    skips = (Skipped("pin-not-on-chip", "no table of chips is installed"),)
    assert "1 rule could not run" in " ".join(shown(skips=skips))
    lines = shown(skips=skips, skipped=True)
    assert any("pin-not-on-chip" in one for one in lines)
    assert any("no table of chips is installed" in one for one in lines)
