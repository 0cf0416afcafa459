"""The tables of symptoms: everything that they name exists, and every reason can be said."""

from __future__ import annotations

from fnmatch import fnmatchcase
from string import Formatter

import pytest

from cfgaudit.audit import audit
from cfgaudit.checks.cards import load_cards
from cfgaudit.data import data_folder
from cfgaudit.history.blame.symptoms import DIRECTIONS, UNKNOWN, Cause, load_symptom, symptom_names
from cfgaudit.own_toml import read_own_toml
from cfgaudit.vocabulary.catalogue import AXES, PART_KINDS, ROLES
from cfgaudit.working_tree import WorkingTree

PLACEHOLDERS = {"part", "axis", "before", "after", "relative", "fact", "finding"}
CAUSES = [(name, cause) for name in symptom_names() for cause in load_symptom(name).causes]


def test_the_symptoms_that_there_are() -> None:
    assert set(symptom_names()) == {
        "ringing", "layer-shift", "first-layer", "thin-walls", "thermal-fault", "homing-fault",
        "skipped-steps", "no-motion", "comms-lost", "noise",
    }  # fmt: skip


@pytest.mark.parametrize("name", symptom_names())
def test_texts(name: str) -> None:
    table = read_own_toml(data_folder("rules") / "symptoms" / f"{name}.toml")
    assert table.keys() - {"besides"} == {"title", "about", "source", "cause"}
    symptom = load_symptom(name)
    assert symptom.besides <= AXES
    assert symptom.causes
    for text in (symptom.title, symptom.about):
        assert text.strip() == text != ""
        assert "\n" not in text
        assert not text.endswith(".")


@pytest.mark.parametrize(("name", "cause"), CAUSES)
def test_what_a_cause_names_exists(name: str, cause: Cause) -> None:
    assert cause.roles <= {*ROLES, UNKNOWN}
    assert cause.parts <= PART_KINDS
    assert cause.axes <= AXES
    assert cause.besides <= AXES
    assert cause.direction <= DIRECTIONS
    assert cause.rules <= load_cards().keys()
    assert not (cause.rules and cause.facts)
    assert cause.roles or cause.parts or cause.rules or cause.facts, "it would match everything"
    assert 0 < cause.weight <= 1
    assert cause.times > 1
    assert cause.difference is None or cause.difference > 0
    assert cause.source.strip()


@pytest.mark.parametrize(("name", "cause"), CAUSES)
def test_a_reason_is_one_line_that_can_be_said(name: str, cause: Cause) -> None:
    assert "\n" not in cause.reason
    assert cause.reason.strip() == cause.reason != ""
    assert not cause.reason.endswith(".")
    named = {field for _, field, _, _ in Formatter().parse(cause.reason) if field is not None}
    assert named <= PLACEHOLDERS
    assert ("finding" in named) == bool(cause.rules), "a rule's reason is what it found"


@pytest.mark.parametrize("glob", sorted({glob for _, cause in CAUSES for glob in cause.facts}))
def test_facts_are_some_that_a_machine_has(glob: str) -> None:
    facts = audit(WorkingTree(data_folder("samples") / "heron" / "base"), "heron.ini").facts.facts
    assert any(fnmatchcase(fact.name, glob) for fact in facts)
