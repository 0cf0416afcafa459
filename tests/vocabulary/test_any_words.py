"""What holds of every reading, whatever the text is."""

from __future__ import annotations

import re

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from cfgaudit.syntax.read_value import read_value
from cfgaudit.tree.names import fold_name
from cfgaudit.vocabulary.catalogue import AXES, PART_KINDS, ROLES
from cfgaudit.vocabulary.decide import Judge
from cfgaudit.vocabulary.reading import SectionReading
from cfgaudit.vocabulary.sections import SectionKind
from cfgaudit.vocabulary.words import load_words, trade
from vocabulary.reading_text import read_text

WORDS = load_words()
KINDS = sorted(PART_KINDS | {"extruder", ""})
VALUES = [
    "PA1",
    "main.PB2, pull-up",
    "12",
    "0.5",
    "120 °C",
    "200 mm/s",
    "3000 mm/s²",
    "0 .. 300 mm",
    "10, 20",
    "1:3",
    "yes",
    "NTC 100k",
    "bed",
    "heater bed",
    "x",
    "G28\n  G1 X5",
    "PA3, NTC 100k, pull-up 4.7k",
    "",
    "{blank}",
]
SPOKEN = sorted(
    {phrase for phrases in trade()["words"].values() for phrase in phrases} | {"x", "blorp", "z1"}
)
LETTERS = re.compile(r"\b[^\W\d] [^\W\d]\b")
NAMES = st.lists(st.sampled_from(SPOKEN), min_size=1, max_size=3).map(" ".join)
LINES = st.dictionaries(NAMES, st.sampled_from(VALUES), max_size=5)
TEXTS = st.dictionaries(NAMES, LINES, min_size=1, max_size=3)


def written(sections: dict[str, dict[str, str]]) -> str:
    return "".join(
        f"[{name}]\n" + "".join(f"{key} = {value}\n" for key, value in lines.items())
        for name, lines in sections.items()
    )


def hold(section: SectionReading) -> None:
    kinds = [part.kind for part in section.parts]
    assert set(kinds) <= PART_KINDS
    assert len(set(kinds)) == len(kinds)
    assert section.axis is None or section.axis in AXES
    for reading in section.readings:
        assert reading.why
        assert reading.axis is None or reading.axis in AXES
        roles = {sense.role for sense in reading.senses} | ({reading.role} if reading.role else set())
        for role in roles:
            assert ROLES[role].parts & set(kinds or ["other"]), f"{role} of {kinds}"


@given(st.text(max_size=300))
def test_any_text_is_read(text: str) -> None:
    for section in read_text(text.replace("\0", "")).sections:
        hold(section)


@given(st.text(max_size=30), st.text(max_size=30), st.sampled_from(KINDS))
def test_any_name_and_value_get_a_role_of_the_catalogue_or_none(key: str, text: str, kind: str) -> None:
    said = SectionKind(kind, "", None, frozenset(), "")
    decision = Judge(WORDS).decide(key, text, read_value(text), said, lambda name: frozenset())
    assert decision.role is None or decision.role in ROLES
    assert decision.why


@given(TEXTS)
def test_no_part_gets_a_role_that_it_cannot_have(sections: dict[str, dict[str, str]]) -> None:
    for section in read_text(written(sections)).sections:
        hold(section)


@given(NAMES, LINES, st.sampled_from(["_", "-", ".", "camel", "upper"]))
@settings(max_examples=200)
def test_case_and_marks_change_nothing(section: str, lines: dict[str, str], hand: str) -> None:
    def spelled(name: str) -> str:
        words = name.split()
        if hand == "camel":
            return words[0] + "".join(word.capitalize() for word in words[1:])
        return name.upper() if hand == "upper" else hand.join(words)

    assume(not any(LETTERS.search(name) for name in (section, *lines)))  # nobody can part ``aA``
    plain = read_text(written({section: lines})).sections
    header = section if hand == "." else spelled(section)  # there a full stop sets off a label
    other = read_text(written({header: {spelled(key): value for key, value in lines.items()}})).sections
    assert [_said(one) for one in other] == [_said(one) for one in plain]


def _said(section: SectionReading) -> list[object]:
    parts = [(part.kind, fold_name(part.name)) for part in section.parts]
    return [parts, section.axis, [(one.role, one.axis, one.fits) for one in section.readings]]


@given(TEXTS)
def test_a_section_that_shares_no_name_changes_no_other(sections: dict[str, dict[str, str]]) -> None:
    alone = read_text(written(sections)).sections
    beside = read_text(written(sections) + "[macro quux frob]\ngcode = M117\n").sections
    assert [_said(one) for one in beside[:-1]] == [_said(one) for one in alone]


@given(TEXTS)
def test_the_order_of_sections_and_settings_changes_nothing(sections: dict[str, dict[str, str]]) -> None:
    turned = {name: dict(reversed(lines.items())) for name, lines in reversed(sections.items())}
    here = {one.section.key: _said(one) for one in read_text(written(sections)).sections}
    there = {one.section.key: _said(one) for one in read_text(written(turned)).sections}
    for key, (parts, axis, readings) in there.items():
        assert here[key] == [parts, axis, list(reversed(readings))]
