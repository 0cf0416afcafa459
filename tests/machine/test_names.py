"""Names of parts, and the nearest ones."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.machine.names import Names
from cfgaudit.machine.pieces import split_pieces, split_words
from cfgaudit.machine.places import find_piece
from machine.readings import machine_of


def names_of(text: str) -> Names:
    return Names(machine_of(text).parts)


def test_the_nearest_name_is_one_of_the_wanted_kind() -> None:
    names = names_of("[heater bed]\n[fan bad]\n[heater chamber]\n")
    assert names.nearest("bet", "heater") == "bed"
    assert names.nearest("chambr", "heater") == "chamber"
    assert names.nearest("bat") == "bad"
    assert names.nearest("gantry", "heater") is None


def test_a_name_is_suggested_as_its_owner_writes_it() -> None:
    assert names_of("[fan Part Cooler]\n").nearest("partcoler") == "Part Cooler"


@given(st.text(max_size=40))
@settings(max_examples=60)
def test_pieces_are_where_they_say(value: str) -> None:
    for piece in split_pieces(value):
        assert value[piece.start : piece.end] == piece.text
        assert piece.text == piece.text.strip() != ""


@given(st.text(alphabet="ab1 ,.", max_size=12), st.text(alphabet="ab1.", min_size=1, max_size=3))
@settings(max_examples=80)
def test_a_piece_that_is_found_stands_there(value: str, piece: str) -> None:
    start = find_piece(value, piece)
    if start is not None:
        assert value.startswith(piece, start)
    elif f",{piece}," in f",{value},":
        raise AssertionError("it stands between separators")


def test_words_of_a_name() -> None:
    assert (
        split_words("chamberAir")
        == split_words("chamber-air")
        == split_words("Chamber  AIR")
        == ("chamber", "air")
    )
    assert split_words("fan2 left") == ("fan2", "left")
