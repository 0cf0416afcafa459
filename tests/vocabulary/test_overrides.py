"""What a builder states of words, sections and settings wins over what the words seem to say."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cfgaudit.vocabulary.catalogue import PART_KINDS, ROLES
from cfgaudit.vocabulary.words import WordOverrides
from vocabulary.reading_text import kinds_of, read_text, reading_of, role_of, section_of


def words(**concepts: tuple[str, ...]) -> WordOverrides:
    return WordOverrides(words=concepts)


def parts(name: str, *stated: str) -> WordOverrides:
    return WordOverrides(parts={name: stated})


def roles(address: str, stated: str) -> WordOverrides:
    return WordOverrides(roles={address: stated})


@pytest.mark.parametrize("section", ["warmbox bed", "bed warmbox", "WARMBOX.bed", "bedWarmbox"])
def test_a_word_that_is_added_names_a_part(section: str) -> None:
    assert kinds_of(f"[{section}]\n", words(heater=("warmbox",))) == ["heater"]


def test_a_phrase_of_several_words_can_be_added() -> None:
    assert kinds_of("[little hot thing bed]\n", words(heater=("little hot thing",))) == ["heater"]


def test_a_word_that_is_added_counts_in_settings() -> None:
    assert role_of("heater bed", "scorch line = 120 °C") is None
    assert role_of("heater bed", "scorch line = 120 °C", words(max=("scorch line",))) == "temp.max"


def test_a_word_that_is_added_counts_in_joined_names_and_plurals() -> None:
    assert role_of("heater bed", "scorchtemp = 120", words(max=("scorch",))) == "temp.max"
    assert kinds_of("[warmboxes]\n", words(heater=("warmbox",))) == ["heater"]


def test_an_own_word_wins_over_the_trades() -> None:
    assert kinds_of("[blower side]\n") == ["fan"]
    assert kinds_of("[blower side]\n", words(heater=("blower",))) == ["heater"]


@pytest.mark.parametrize("name", ["cosy corner", "Cosy Corner", "cosy_corner", "COSY-CORNER", "cosyCorner"])
def test_a_section_is_stated_in_any_spelling(name: str) -> None:
    section = section_of("[cosy corner]\npin = PA1\n", parts(name, "heater bed"))
    assert section.parts == (("heater", "bed"),)
    assert section.readings[0].role == "pin.heater"


@pytest.mark.parametrize("name", ["cosy*", "*corner", "Cosy*", "c?sy corner", "cosy_*", "cosy-c*"])
def test_a_section_is_stated_by_a_glob(name: str) -> None:
    assert kinds_of("[cosy corner]\n", parts(name, "heater")) == ["heater"]


@pytest.mark.parametrize("name", ["cosy", "corner*", "cosy corner 2", "c?sy"])
def test_a_glob_holds_for_the_whole_name(name: str) -> None:
    assert kinds_of("[cosy corner]\n", parts(name, "heater")) == []


def test_without_a_label_a_stated_part_has_its_sections_name() -> None:
    assert section_of("[cosy corner]\n", parts("cosy corner", "heater")).parts == (("heater", "cosy corner"),)


def test_a_section_can_be_several_parts() -> None:
    stated = parts("cosy corner", "motor feed", "heater hot end")
    section = section_of("[cosy corner]\nstep pin = PA1\nsensor pin = PA2\n", stated)
    assert section.parts == (("motor", "feed"), ("heater", "hot end"))
    assert [one.role for one in section.readings] == ["pin.step", "pin.sensor"]


def test_what_is_stated_of_a_section_wins_over_its_words_and_settings() -> None:
    text = "[fan side]\nheater pin = PA1\nsensor pin = PA2\nmax temp = 60\n"
    assert kinds_of(text, parts("fan side", "heater side")) == ["heater"]


def test_a_reference_finds_a_stated_part_by_its_label_and_its_section() -> None:
    for name in ("cosy corner", "bed"):
        tree = read_text(f"[fan side]\nfollows = {name}\n[cosy corner]\n", parts("cosy corner", "heater bed"))
        assert tree.sections[0].readings[0].role == "ref.heater"


@pytest.mark.parametrize(("name", "role"), [("feed", "ref.motor"), ("hot end", "ref.heater")])
def test_a_reference_finds_each_of_several_stated_parts(name: str, role: str) -> None:
    stated = parts("cosy corner", "motor feed", "heater hot end")
    tree = read_text(f"[fan side]\nfollows = {name}\n[cosy corner]\n", stated)
    assert tree.sections[0].readings[0].role == role


MOVES = "step pin = PA1\nhighest = 300 mm\n"


@pytest.mark.parametrize(
    ("name", "stated", "axis"),
    [
        ("cosy corner", ("motor x",), "x"),
        ("cosy corner", ("axis X",), "x"),
        ("cosy corner", ("motor left z",), "z"),
        ("cosy corner", ("motor x", "axis x"), "x"),
        ("cosy corner", ("motor left", "axis y"), "y"),
        ("cosy corner", ("motor extruder",), "e"),
        ("cosy corner", ("motor tool", "heater tool"), "e"),
        ("cosy corner", ("motor left",), None),
        ("cosy corner", ("motor x", "axis y"), None),
        ("mover x", ("motor y",), "y"),
        ("mover x", ("motor",), "x"),
        ("mover x", ("motor left",), "x"),
        ("mover x", ("motor extruder",), "e"),
        ("extruder left", ("motor left",), "e"),
        ("extruder left", ("heater left",), None),
    ],
)
def test_what_is_stated_gives_the_axis_else_the_sections_name(
    name: str, stated: tuple[str, ...], axis: str | None
) -> None:
    assert section_of(f"[{name}]\n{MOVES}", parts(name, *stated)).axis == axis


def test_the_settings_of_a_stated_part_show_further_parts_as_those_of_a_named_one_do() -> None:
    stated = section_of(f"[cosy corner]\n{MOVES}", parts("cosy corner", "motor x"))
    assert stated.parts == section_of(f"[motor x]\n{MOVES}").parts == (("motor", "x"), ("axis", "x"))


@pytest.mark.parametrize("kinds", [("motor x", "axis x"), ("axis x", "motor x")])
def test_no_part_is_told_twice(kinds: tuple[str, ...]) -> None:
    told = section_of(f"[cosy corner]\n{MOVES}", parts("cosy corner", *kinds)).parts
    assert [" ".join(part) for part in told] == [*kinds]


def test_the_words_of_a_stated_label_say_nothing_new_in_settings() -> None:
    """As those of a section's name: ``[heater bed]`` may write ``bed max temp``."""
    assert role_of("cosy corner", "bed max temp = 120", parts("cosy corner", "heater bed")) == "temp.max"


@pytest.mark.parametrize("setting", ["glow bound", "Glow_Bound", "glowBound", "GLOW-BOUND"])
def test_a_setting_is_stated_in_any_spelling(setting: str) -> None:
    reading = reading_of("heater bed", "glow bound = 120", roles(setting, "temp.max"))
    assert (reading.role, reading.axis, reading.why) == ("temp.max", None, "stated in cfgaudit.toml")


@pytest.mark.parametrize(
    "address",
    [
        "heater bed:glow bound",
        "HEATER BED:glowBound",
        "heater*:glow bound",
        "heater_b*:glow_*",
        "*:glow bound",
        "*bed:*bound",
        "glow*",
    ],
)
def test_a_setting_is_stated_in_its_section(address: str) -> None:
    assert role_of("heater bed", "glow bound = 120", roles(address, "temp.max")) == "temp.max"


@pytest.mark.parametrize("address", ["fan*:glow bound", "heater:glow bound", "heater bed:glow", "bound"])
def test_what_is_stated_elsewhere_does_not_count(address: str) -> None:
    assert role_of("heater bed", "glow bound = 120", roles(address, "temp.max")) is None


def test_a_section_with_a_colon_can_be_stated() -> None:
    assert role_of("heater:bed", "glow bound = 120", roles("heater:bed:glow bound", "temp.max")) == "temp.max"


def test_a_stated_role_can_have_an_axis() -> None:
    reading = reading_of("motion", "sideways = 300", roles("sideways", "travel.max x"))
    assert (reading.role, reading.axis) == ("travel.max", "x")


def test_none_takes_a_role_away() -> None:
    assert role_of("heater bed", "max temp = 120") == "temp.max"
    reading = reading_of("heater bed", "max temp = 120", roles("heater bed:max temp", "none"))
    assert (reading.role, reading.why) == (None, "no role, as cfgaudit.toml states")


def test_what_is_first_stated_counts() -> None:
    """So that a section's own line can stand before one for all."""
    stated = WordOverrides(roles={"heater bed:glow": "temp.max", "glow": "temp.min"})
    assert role_of("heater bed", "glow = 120", stated) == "temp.max"
    assert role_of("heater case", "glow = 12", stated) == "temp.min"


def test_a_stated_role_stays_where_no_part_of_the_section_can_have_it() -> None:
    assert role_of("fan side", "glow = 5", roles("glow", "probe.samples")) == "probe.samples"


def test_a_stated_range_still_has_two_ends() -> None:
    reading = reading_of("heater bed", "glow = 5 .. 120", roles("glow", "temp.max"))
    assert [sense.role for sense in reading.senses] == ["temp.min"]


@pytest.mark.parametrize("line", ["glow = 120 mm", "glow = far", "glow = PA1"])
def test_a_stated_role_tells_when_the_value_contradicts_it(line: str) -> None:
    reading = reading_of("heater bed", line, roles("glow", "temp.max"))
    assert (reading.role, reading.fits) == ("temp.max", False)


@given(
    st.dictionaries(
        st.text(max_size=10), st.sampled_from([*sorted(ROLES), "none", "travel.max x"]), max_size=3
    ),
    st.dictionaries(st.text(max_size=10), st.tuples(st.sampled_from(sorted(PART_KINDS))), max_size=3),
)
def test_any_name_can_be_stated(stated: dict[str, str], kinds: dict[str, tuple[str, ...]]) -> None:
    section = section_of("[heater bed]\nmax temp = 120\n", WordOverrides(roles=stated, parts=kinds))
    assert section.parts
    assert section.readings[0].role is None or section.readings[0].role in ROLES
