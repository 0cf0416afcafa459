"""What is kept of a chip comes back whole, or not at all."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cfgaudit.machine.chips.chip import Chip, ChipPin, Reach, Signal, Unknown, pin_key
from cfgaudit.machine.chips.packed import pack, unpack

WORDS = st.text("ABCDEFxyz019._ ", min_size=1, max_size=6)
SIGNALS = st.lists(st.builds(Signal, WORDS, WORDS, WORDS), max_size=4).map(tuple)
NAMES = st.builds("P{}{}".format, st.sampled_from("ABCD"), st.integers(0, 31))
PINS = st.lists(
    st.builds(ChipPin, NAMES, st.sampled_from(Reach), SIGNALS, SIGNALS),
    max_size=6,
    unique_by=lambda pin: pin.name,
)
CHIPS = st.builds(
    lambda name, pins, anywhere, source: Chip(
        name, {pin_key(pin.name): pin for pin in pins}, anywhere, source
    ),
    WORDS,
    PINS,
    st.frozensets(WORDS, max_size=2),
    WORDS,
)


@given(st.one_of(CHIPS, st.builds(Unknown, WORDS, WORDS)))
def test_a_chip_comes_back_as_it_was(found: Chip | Unknown) -> None:
    assert unpack(pack(found)) == found
    assert unpack(json.loads(json.dumps(pack(found)))) == found  # plain types only


ANYTHING = st.recursive(
    st.none() | st.booleans() | st.integers() | st.text(max_size=5),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(["name", "reason", "pins", "signals", "anywhere", "source"]), inner, max_size=6
        )
    ),
    max_leaves=12,
)


@given(ANYTHING)
def test_anything_else_is_nothing_or_at_least_sound(kept: Any) -> None:
    found = unpack(kept)
    assert found is None or unpack(pack(found)) == found


@pytest.mark.parametrize(
    "change", [{"pins": [["PA0", "e", [7], []]]}, {"pins": [["PA0", "?", [], []]]}, {"signals": [["a", "b"]]}]
)
def test_numbers_and_letters_that_lead_nowhere(change: dict[str, Any]) -> None:
    whole = {"name": "XY1", "anywhere": [], "source": "", "signals": [], "pins": []}
    assert unpack(whole) == Chip("XY1", {})
    assert unpack({**whole, **change}) is None
