"""The machine as a whole: whatever is written, it is built, and so are its facts."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.facts.compute import compute_facts
from cfgaudit.machine.model import Machine
from machine.readings import KINDS, ROLES, machine_of

NAMES = st.sampled_from(["", "x", "bed", "bed left", "main", "z1", "all", "nozzle", "2", "über"])
KIND = st.sampled_from([*sorted(KINDS), "motor+heater", "axis+motor+driver", "gizmo"])
KEYS = st.sampled_from([*ROLES, "low x", "high y", "fast z", "mood"])
VALUES = st.one_of(
    st.sampled_from(
        [
            "PA1",
            "main.PA1",
            "!x.PA1",
            "bed",
            "heater bed, x",
            "x y",
            "all",
            "none",
            "10, 20",
            "1:3",
            "${a}",
            "yes",
            "a = PA1",
        ]
    ),
    st.floats(allow_nan=False, width=32).map(str),
    st.text(alphabet=st.characters(exclude_categories=["Cs", "Cc"]), max_size=12),
)
SECTIONS = st.tuples(KIND, NAMES, st.lists(st.tuples(KEYS, VALUES), max_size=5))


def text_of(sections: list[tuple[str, str, list[tuple[str, str]]]]) -> str:
    return "".join(
        f"[{kind} {name}]\n" + "".join(f"{key} = {value}\n" for key, value in pairs)
        for kind, name, pairs in sections
    )


def assert_whole(machine: Machine) -> None:
    """Every reference and pin belongs to a part of the machine, and what is resolved is one too."""
    parts = set(machine.parts)
    for reference in machine.references:
        assert reference.origin in parts
        assert reference.target is None or reference.target in parts
        assert reference.implied == (reference.meaning is None)
    for board, pins in machine.pins.items():
        for key, uses in pins.items():
            assert uses
            assert all((use.board, use.key) == (board, key) and use.part in parts for use in uses)
            assert all(use.place.line <= use.place.end_line for use in uses)


@given(st.lists(SECTIONS, max_size=8))
@settings(max_examples=120, deadline=None)
def test_any_configuration_becomes_a_machine_with_facts(
    sections: list[tuple[str, str, list[tuple[str, str]]]],
) -> None:
    machine = machine_of(text_of(sections))
    assert_whole(machine)
    assert all(fact.name.count(".") >= 2 and fact.unit for fact in compute_facts(machine).facts)


@given(st.lists(SECTIONS, max_size=6), st.sampled_from([str.upper, str.title]))
@settings(max_examples=60, deadline=None)
def test_the_spelling_of_names_changes_no_reference(
    sections: list[tuple[str, str, list[tuple[str, str]]]], spell: object
) -> None:
    """Section names spelt anew, values left alone."""
    assert callable(spell)
    renamed = [(kind, spell(name), pairs) for kind, name, pairs in sections]

    def links(machine: Machine) -> list[tuple[int, int | None]]:
        rank = {part: number for number, part in enumerate(machine.parts)}
        return [(rank[one.origin], rank[one.target] if one.target else None) for one in machine.references]

    assert links(machine_of(text_of(sections))) == links(machine_of(text_of(renamed)))
