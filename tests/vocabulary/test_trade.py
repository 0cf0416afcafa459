"""The tables of ``trade.toml`` hold together: nothing in them is without effect."""

from __future__ import annotations

import re

from cfgaudit.vocabulary.catalogue import PART_KINDS, ROLES
from cfgaudit.vocabulary.patterns import TOKEN, Pattern, matched, read_pattern
from cfgaudit.vocabulary.sections import EXTRUDER
from cfgaudit.vocabulary.words import concepts, load_words, trade

WORDS = load_words()
KINDS = PART_KINDS | {EXTRUDER}


def test_a_pattern_needs_words_and_allows_words_in_sections_of_kinds() -> None:
    assert read_pattern("temp.max", "heater,sensor: max temp|heat (limit)") == Pattern(
        "temp.max",
        (frozenset({"max"}), frozenset({"temp", "heat"})),
        frozenset({"limit"}),
        frozenset({"heater", "sensor"}),
    )


def test_each_need_is_met_by_a_word_of_its_own() -> None:
    pattern = read_pattern("temp.max", "max|temp temp|heat")
    assert matched(pattern, frozenset({"max", "temp"}))
    assert matched(pattern, frozenset({"temp", "heat"}))
    assert not matched(pattern, frozenset({"temp"}))
    assert not matched(pattern, frozenset({"max"}))


def test_patterns_hold_only_concepts_that_have_words() -> None:
    assert {concept for pattern in WORDS.patterns for concept in pattern.known} <= concepts()


def test_patterns_are_read_to_their_last_mark() -> None:
    for texts in trade()["roles"].values():
        for text in texts:
            kinds, _, rest = text.rpartition(":")
            assert not TOKEN.sub("", rest).strip(), text
            assert re.fullmatch(r"(\w+(,\w+)*)?", kinds), text


def test_every_pattern_counts_in_sections_of_every_kind_that_it_names() -> None:
    for pattern in WORDS.patterns:
        assert pattern.kinds <= KINDS
        for kind in pattern.kinds:
            heads = {kind} | WORDS.families.get(kind, frozenset())
            assert ROLES[pattern.role].parts & heads, f"no {kind} can have {pattern.role}"


def test_no_pattern_allows_what_it_needs_or_stands_twice() -> None:
    seen = set()
    for pattern in WORDS.patterns:
        assert not pattern.may & frozenset().union(*pattern.needed), pattern
        needs = (pattern.role, pattern.needed, pattern.kinds)
        assert needs not in seen, pattern
        seen.add(needs)


def test_tables_speak_of_kinds_concepts_and_roles_that_there_are() -> None:
    tables = (WORDS.families, WORDS.evidence, WORDS.signatures, WORDS.refers, WORDS.principal)
    assert {kind for table in tables for kind in table} <= KINDS
    assert {kind for kind, _ in WORDS.inference} | set(WORDS.implied.values()) <= KINDS
    assert set(WORDS.rank) | WORDS.leading | set(WORDS.implied) | WORDS.unlisted | WORDS.places <= concepts()
    assert set(WORDS.rank) - WORDS.unlisted <= PART_KINDS
    assert set(WORDS.units.values()) | set(WORDS.symbols.values()) <= concepts()
    assert {concept for concept, _ in WORDS.unit_words.values()} <= concepts()
    signs = [roles for kinds in WORDS.signatures.values() for roles in kinds.values()]
    shown = [roles for _, roles in WORDS.inference]
    for roles in (*signs, *shown, *WORDS.evidence.values(), frozenset(WORDS.principal.values())):
        assert roles <= set(ROLES)


def test_what_shows_a_kind_is_what_such_a_part_can_have() -> None:
    """A role of another part would never count for it."""
    for kind, roles in (*WORDS.inference, *WORDS.evidence.items()):
        kinds = {"motor", "heater"} if kind == EXTRUDER else {kind}
        assert all(ROLES[role].parts & kinds for role in roles), f"{kind}: {sorted(roles)}"


def test_a_relation_can_be_a_role_of_the_section_that_says_it() -> None:
    for kind, others in WORDS.refers.items():
        heads = {kind} | WORDS.families.get(kind, frozenset())
        for other in others:
            assert ROLES[f"ref.{other}"].parts & heads, f"{kind} names no {other}"
