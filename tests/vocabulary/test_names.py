"""Names to words and words to concepts. What the words mean is plain English and the trade's; no source."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from cfgaudit.tree.names import fold_name
from cfgaudit.vocabulary.names import Lexicon, Word, split_name
from cfgaudit.vocabulary.words import load_words, trade

ANY_NAME = st.text(max_size=40)
WORDS = load_words()


def words(name: str) -> list[str]:
    return [text for text, _, _ in split_name(name)]


def concepts(name: str) -> list[str]:
    return [word.concept for word in WORDS.lexicon.words(name)]


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("max travel", ["max", "travel"]),
        ("max_travel", ["max", "travel"]),
        ("max-travel", ["max", "travel"]),
        ("max.travel", ["max", "travel"]),
        ("max:travel", ["max", "travel"]),
        ("max / travel", ["max", "travel"]),
        ("maxTravel", ["max", "travel"]),
        ("MaxTravel", ["max", "travel"]),
        ("MAX_TRAVEL", ["max", "travel"]),
        ("max__travel", ["max", "travel"]),
        ("travel [mm]", ["travel", "mm"]),
        ("PWMDuty", ["pwm", "duty"]),
        ("fanPWM", ["fan", "pwm"]),
        ("Z1", ["z", "1"]),
        ("fan0", ["fan", "0"]),
        ("1st fan", ["1", "st", "fan"]),
        ("i2cBus", ["i", "2", "c", "bus"]),
        ("", []),
        ("_-. :", []),
    ],
)
def test_a_name_is_cut_at_marks_at_capitals_and_between_letters_and_digits(
    name: str, expected: list[str]
) -> None:
    assert words(name) == expected


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("düse", ["düse"]),
        ("Düse Größe", ["düse", "größe"]),
        ("düseGröße", ["düse", "größe"]),
        ("KÜHLER", ["kühler"]),
        ("plaqueÉpaisse", ["plaque", "épaisse"]),
        ("стол", ["стол"]),
        ("СТОЛ_нагрев", ["стол", "нагрев"]),
        ("tempe\u0301rature", ["tempe\u0301rature"]),
        ("mm/s²", ["mm", "s", "²"]),
    ],
)
def test_a_word_with_any_letters_stays_whole(name: str, expected: list[str]) -> None:
    assert words(name) == expected


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("temperature", ["temp"]),
        ("temperatures", ["temp"]),
        ("stepper", ["motor"]),
        ("acceleration", ["accel"]),
        ("en", ["enable"]),
        ("dir", ["direction"]),
        ("heaters", ["heater"]),
        ("switches", ["switch"]),
        ("supplies", ["supply"]),
        ("limited", ["limit"]),
        ("limiting", ["limit"]),
        ("homed", ["home"]),
    ],
)
def test_a_word_in_its_usual_forms_has_one_meaning(name: str, expected: list[str]) -> None:
    assert concepts(name) == expected


@pytest.mark.parametrize("word", ["ping", "ding", "ides", "weather", "blorp", "ied"])
def test_a_word_is_no_form_of_a_letter_and_strange_words_have_no_meaning(word: str) -> None:
    assert concepts(word) == [""]


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("stepper motor driver", ["driver"]),
        ("stepper motor", ["motor"]),
        ("end stop", ["endstop"]),
        ("endStop", ["endstop"]),
        ("limit switch pin", ["endstop", "pin"]),
        ("limit pin", ["limit", "pin"]),
        ("chip_select", ["select"]),
        ("mm per revolution", ["lead"]),
        ("build plate heater", ["bed", "heater"]),
    ],
)
def test_the_longest_phrase_counts(name: str, expected: list[str]) -> None:
    assert concepts(name) == expected


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("maxtemp", ["max", "temp"]),
        ("tempmax", ["temp", "max"]),
        ("steppin", ["step", "pin"]),
        ("homingspeed", ["home", "speed"]),
        ("bedheater", ["bed", "heater"]),
        ("maxheatertemp", ["max", "heater", "temp"]),
        ("xmax", ["", "max"]),
        ("maxz", ["max", ""]),
        ("heatsink", [""]),
        ("planet", [""]),
        ("pinion", [""]),
        ("carpet", [""]),
    ],
)
def test_words_that_were_joined_are_parted_only_where_every_piece_is_known(
    name: str, expected: list[str]
) -> None:
    assert concepts(name) == expected


def test_a_piece_of_a_joined_word_keeps_its_place() -> None:
    assert WORDS.lexicon.words("a maxtemp") == (
        Word("a", "filler", 0, 1),
        Word("max", "max", 2, 5),
        Word("temp", "temp", 5, 9),
    )


def test_the_first_layer_that_has_a_word_decides_its_meaning() -> None:
    lexicon = Lexicon({"heater": ("stove",)}, {"fan": ("stove", "whirl"), "heater": ("coil",)})
    assert [lexicon.concept(word) for word in ("stove", "whirl", "coil", "stoves")] == [
        "heater",
        "fan",
        "heater",
        "heater",
    ]


def test_every_word_of_the_trade_means_one_thing() -> None:
    """A word written down under two concepts would mean the first of them only."""
    seen: dict[tuple[str, ...], str] = {}
    for concept, phrases in trade()["words"].items():
        for phrase in phrases:
            assert words(phrase), phrase
            key = tuple(words(phrase))
            assert seen.setdefault(key, concept) == concept, f"“{phrase}” is {seen[key]} and {concept}"


@given(ANY_NAME)
def test_offsets_lead_back_to_the_name(name: str) -> None:
    at = 0
    for text, start, end in split_name(name):
        assert at <= start < end <= len(name)
        assert name[start:end].lower() == text
        at = end


@given(ANY_NAME)
def test_folded_words_stand_in_the_name_one_after_the_other(name: str) -> None:
    at = 0
    for word in WORDS.lexicon.words(name):
        assert at <= word.start < word.end <= len(name)
        at = word.end


@given(st.lists(st.sampled_from("max temp feed heater x limit blorp of pin".split()), min_size=1, max_size=5))
def test_the_hand_that_writes_a_name_changes_no_word(plain: list[str]) -> None:
    camel = plain[0] + "".join(word.capitalize() for word in plain[1:])
    assume("x x" not in " ".join(plain))  # nobody can part ``xX``
    hands = ["_".join(plain), "-".join(plain), ".".join(plain), " ".join(plain).upper(), camel]
    said = [[(one.text, one.concept) for one in WORDS.lexicon.words(hand)] for hand in hands]
    assert said == [said[0]] * len(hands)
    assert {fold_name(hand) for hand in hands} == {"".join(plain)}
