"""Random machines, renamed and shuffled: what is said of their findings follows from what was done."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.audit import Audit, audit
from cfgaudit.history.change import ChangeKind
from cfgaudit.history.comparing.compare import compare_machines
from cfgaudit.history.comparing.findings_between import carried, without, worse
from cfgaudit.history.comparing.pairing import pair_machines
from cfgaudit.source import Memory
from history.walker import FILES, Block, Manner, Walker

FAULTS: dict[str, tuple[dict[str, str], ...]] = {
    "heater bed": ({"lowest": "200", "highest": "110"}, {"drive": "PA1"}, {"highest": "90 °C"}),
    "heater cabin": ({"lowest": "99", "highest": "60 °C"}, {"drive": "PA1"}, {"power at most": "3"}),
    "fan duct": ({"drive": "PA1"}, {"runs with": "heater cabin"}, {"runs with": "heater attic"}),
    "fan left": ({"drive": "PB2"}, {"drive": "PA1"}, {"power at least": "40"}),
    "lamp front": ({"drive": "PB2"}, {"drive": "PA1"}, {"colour": "warm white light"}),
    "motor x": ({"step": "PB2"}, {"microsteps": "15"}, {"step": "PE3"}),
    "driver x": ({"running current": "1 A", "holding current": "2 A"}, {"address": "CHANGE_ME"}),
    "reel": ({"weight": ""}, {"notes": "borrowed from Ada"}),
}
"""By section what may be written there, most of it wrong."""
RENAMED = {
    "heater cabin": "heater shed",
    "fan duct": "fan tunnel",
    "lamp front": "lamp door",
    "driver x": "driver gantry",
    "reel": "spool",
}


@st.composite
def machines(draw: st.DrawFn) -> Walker:
    walker = Walker({file: [] for file in FILES}, {}, {file: Manner() for file in FILES})
    for name in draw(st.lists(st.sampled_from(sorted(FAULTS)), unique=True, min_size=2)):
        said = {key: value for one in draw(st.sets(st.integers(0, 2))) for key, value in _choice(name, one)}
        walker.blocks[draw(st.sampled_from(FILES))].append(Block(name, said))
    return walker


def _choice(name: str, number: int) -> list[tuple[str, str]]:
    choices = FAULTS[name]
    return list(choices[number % len(choices)].items())


def audited(walker: Walker) -> Audit:
    return audit(Memory(walker.texts()), "main.ini")


def shuffled(walker: Walker, draw: st.DrawFn) -> None:
    """Some sections get other names, and all go to any place of any file."""
    for name in draw(st.sets(st.sampled_from(sorted(RENAMED)))):
        walker.rename(name, RENAMED[name])
    blocks = draw(st.permutations([block for _, block in walker.sections()]))
    walker.blocks = {file: [] for file in FILES}
    for block in blocks:
        walker.blocks[draw(st.sampled_from(FILES))].append(block)


@given(machines(), st.data())
@settings(max_examples=80, deadline=None)
def test_names_and_places_alone_bring_and_take_nothing(walker: Walker, data: st.DataObject) -> None:
    """Where the comparison sees nothing but renames. Of several that share one pin the first is the one that
    the others are told to share it with, so that one is left out."""
    old = audited(walker)
    shuffled(walker, data.draw)
    new = audited(walker)
    changes = compare_machines(old.subject, new.subject)
    if any(one.kind is not ChangeKind.RENAMED for one in changes):
        return
    known = carried(old, new)
    both = worse(new.findings, known), without(known, new.findings)
    assert [[one.rule for one in found if one.rule != "pin-shared"] for found in both] == [[], []]
    assert len(both[0]) == len(both[1])


@given(machines(), st.data())
@settings(max_examples=80, deadline=None)
def test_what_stands_in_a_section_that_came_is_new(walker: Walker, data: st.DataObject) -> None:
    """Whatever was renamed with it."""
    names = [block.name for _, block in walker.sections()]
    left_out = data.draw(st.sampled_from(names))
    file, block = next((at, one) for at, one in walker.sections() if one.name == left_out)
    walker.blocks[file].remove(block)
    old = audited(walker)
    walker.blocks[file].append(block)
    shuffled(walker, data.draw)
    new = audited(walker)
    came = {one.section.key for one in pair_machines(old.subject, new.subject).came()}
    lines = {
        (one.document.path, line)
        for section in new.tree.sections
        if section.key in came
        for one in section.openings
        for line in range(one.place.line, one.place.line + len(section.settings) + 1)
    }
    fresh = worse(new.findings, carried(old, new))
    standing = [one for one in new.findings.findings if (one.where.file, one.where.line) in lines]
    assert [one for one in standing if one not in fresh] == []
