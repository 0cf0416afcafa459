"""Modal groups of G-code.

Source: T. R. Kramer, F. M. Proctor, E. Messina, "The NIST RS274/NGC Interpreter, Version 3", NISTIR 6556
(2000): two words of one group on a line are an error, words of different groups are not.
"""

from __future__ import annotations

from itertools import combinations, product

import pytest

from cfgaudit.audit import audit_text
from cfgaudit.checks.cards import load_cards
from cfgaudit.checks.run import raise_fault

RULE = "modal-group-clash"

GROUPS = [
    ["G0", "G1", "G2", "G3", "G38.2", *(f"G{number}" for number in range(80, 90))],
    ["G17", "G18", "G19"],
    ["G90", "G91"],
    ["G93", "G94"],
    ["G20", "G21"],
    ["G40", "G41", "G42"],
    ["G43", "G49"],
    ["G98", "G99"],
    ["G54", "G55", "G56", "G57", "G58", "G59", "G59.1", "G59.2", "G59.3"],
    ["G61", "G61.1", "G64"],
]


def clashing(lines: list[str]) -> set[str]:
    """Those of the lines that the rule finds, as one macro's body."""
    text = "[macro groups]\nbody =\n" + "".join(f"    {line}\n" for line in lines)
    found = audit_text({"machine.ini": text}, on_fault=raise_fault).findings.findings
    return {lines[one.where.line - 3] for one in found if one.rule == RULE}


def test_the_card_has_the_standards_groups() -> None:
    limits = load_cards()[RULE].limits
    assert sorted(sorted(map(str, limit.value)) for limit in limits.values()) == sorted(map(sorted, GROUPS))


@pytest.mark.parametrize("group", GROUPS, ids=lambda group: group[0])
def test_two_words_of_a_group_on_one_line_clash(group: list[str]) -> None:
    lines = [f"{one} {other} X1" for one, other in combinations(group, 2)]
    assert clashing(lines) == set(lines)


def test_words_of_different_groups_may_share_a_line() -> None:
    lines = [
        f"{one} {other} X1"
        for first, second in combinations(GROUPS, 2)
        for one, other in product(first[:3], second[:3])
    ]
    assert clashing(lines) == set()


@pytest.mark.parametrize(
    "line", ["g00 G1 X1", "G90.0 G91", "N5 G090 g91", "G 1 G 2 X1", "G1 X1 (half-way) G0"]
)
def test_the_standards_spellings_of_numbers_are_one_word(line: str) -> None:
    """Case, blanks, leading zeros and a fraction of zero make no difference to a number."""
    assert clashing([line]) == {line}
