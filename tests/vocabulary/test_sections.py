"""Names of sections to the parts that they name. What a builder means is plain English; no source."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cfgaudit.tree.config_tree import Section
from cfgaudit.vocabulary.catalogue import AXES, PART_KINDS
from cfgaudit.vocabulary.sections import EXTRUDER, SectionKind, read_section_name
from cfgaudit.vocabulary.words import load_words
from vocabulary.reading_text import kinds_of, section_of

WORDS = load_words()


def named(name: str) -> SectionKind:
    return read_section_name(Section(name, name, (), ()), WORDS)


@pytest.mark.parametrize(
    ("name", "kind", "label"),
    [
        ("heater bed", "heater", "bed"),
        ("bed heater", "heater", "bed"),
        ("bedHeater", "heater", "bed"),
        ("BED-HEATER", "heater", "BED"),
        ("heater_chamber", "heater", "chamber"),
        ("heater of the bed", "heater", "bed"),
        ("heating element chamber", "heater", "chamber"),
        ("motor x", "motor", "x"),
        ("stepper left z", "motor", "left z"),
        ("driver x", "driver", "x"),
        ("stepper driver z1", "driver", "z1"),
        ("motor driver x", "driver", "x"),
        ("axis x", "axis", "x"),
        ("x axis", "axis", "x"),
        ("fan part", "fan", "part"),
        ("part cooling fan", "fan", "part"),
        ("thermistor bed", "sensor", "bed"),
        ("bed temperature sensor", "sensor", "bed"),
        ("probe", "probe", ""),
        ("filament sensor left", "filament", "left"),
        ("limit switch y", "endstop", "y"),
        ("end stop y", "endstop", "y"),
        ("input shaper", "shaper", ""),
        ("input shaper x", "shaper", "x"),
        ("led strip rear", "light", "rear"),
        ("power supply 24V", "supply", "24V"),
        ("board head", "board", "head"),
        ("controller board main", "board", "main"),
        ("servo arm", "servo", "arm"),
        ("height map", "mesh", ""),
        ("bed levelling", "level", ""),
        ("accelerometer head", "accelerometer", "head"),
        ("relay pump house", "output", "pump house"),
        ("macro pause", "macro", "pause"),
        ("pin names", "alias", ""),
        ("watchdog bed", "guard", "bed"),
        ("display front", "display", "front"),
    ],
)
def test_a_word_names_the_part_and_the_rest_its_label(name: str, kind: str, label: str) -> None:
    assert named(name)[:2] == (kind, label)


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("heater fan", "fan"),
        ("fan heater bed", "fan"),
        ("fan for heater bed", "fan"),
        ("fan driver bay", "driver"),  # two kinds and no mark: the more specific
        ("heater guard", "guard"),
        ("guard heater bed", "guard"),
        ("guard fan", "guard"),
        ("axis motor x", "motor"),  # both words together name a motor
        ("heater sensor bed", "sensor"),
        ("fan motor", "fan"),
        ("motor board", "motor"),
        ("heater output", "heater"),
        ("display board", "display"),
        ("servo motor", "servo"),
        ("servo probe", "servo"),
        ("probe light", "probe"),
        ("filament switch motor side", "filament"),
    ],
)
def test_in_a_joined_name_the_more_specific_kind_wins(name: str, kind: str) -> None:
    assert named(name).head == kind


@pytest.mark.parametrize(
    ("header", "kind", "label"),
    [
        ("heater.lamp", "heater", "lamp"),
        ("sensor:lamp", "sensor", "lamp"),
        ("heater : fan", "heater", "fan"),
        ('heater "fan"', "heater", "fan"),
        ("heater 'fan duct'", "heater", "fan duct"),
        ('sensor "motor driver"', "sensor", "motor driver"),
        ("sensor.driver", "sensor", "driver"),
        ("sensor:stepper driver", "sensor", "stepper driver"),
        ("board.probe", "board", "probe"),
        ('board "probe"', "board", "probe"),
        ("fan.heater bed", "fan", "heater bed"),
        ('"fan"', "fan", ""),
        ('"fan left"', "fan", "left"),
        ("heater bed.left", "heater", "bed.left"),
        ('bed heater "left"', "heater", "bed left"),
    ],
)
def test_a_label_after_a_mark_changes_no_kind(header: str, kind: str, label: str) -> None:
    """The settings are such as any part may have, so that only the name speaks."""
    section = section_of(f"[{header}]\nboard = main\n")
    assert section.parts[:1] == ((kind, label),)


@pytest.mark.parametrize("kind", ["macro", "script", "routine"])
def test_after_the_word_macro_any_words_are_its_name(kind: str) -> None:
    assert named(f"{kind} lower probe")[:2] == ("macro", "lower probe")
    assert named(f"lower probe {kind}")[:2] == ("macro", "lower probe")


def test_what_is_no_kind_of_part_is_other() -> None:
    assert named("button stop")[:2] == ("other", "stop")


@pytest.mark.parametrize(
    ("name", "kind", "axis"),
    [
        ("x", "axis", "x"),
        ("Y", "axis", "y"),
        ("z1", "axis", "z"),
        ("axis_x", "axis", "x"),
        ("xAxis", "axis", "x"),
        ("AXIS-U", "axis", "u"),
        ("motor z2", "motor", "z"),
        ("motor left y", "motor", "y"),
        ("driver.e", "driver", "e"),
        ("limit switch x max", "endstop", "x"),
        ("axis a", "axis", "a"),
        ("motion x", "axis", "x"),
        ("movement.y", "axis", "y"),
        ("motion", "motion", None),
        ("fan a", "fan", "a"),
        ("motor", "motor", None),
        ("axes x y", "axis", None),
        ("motor xy", "motor", None),
    ],
)
def test_a_single_letter_is_an_axis(name: str, kind: str, axis: str | None) -> None:
    said = named(name)
    assert (said.head, said.axis) == (kind, axis)


@pytest.mark.parametrize("name", ["extruder", "feeder", "extruder 2"])
def test_an_extruder_is_a_part_of_its_own_on_the_axis_of_extrusion(name: str) -> None:
    assert named(name)[:3:2] == (EXTRUDER, "e")


@pytest.mark.parametrize("name", ["extruder motor", "motor extruder"])
def test_the_motor_of_an_extruder_is_a_motor(name: str) -> None:
    section = section_of(f"[{name}]\nstep pin = PA1\ndirection pin = PA2\n")
    assert ([part.kind for part in section.parts], section.axis) == (["motor"], "e")


@pytest.mark.parametrize(
    ("name", "suggests"),
    [
        ("bed", "heater"),
        ("hot end", "heater"),
        ("chamber", "heater"),
        ("speeds", "motion"),
        ("z limit", "endstop"),
        ("power", "supply"),
        ("air", "fan"),
        ("heat watch bed", "guard"),
        ("temperature chamber", "sensor"),
    ],
)
def test_some_words_only_suggest_a_part(name: str, suggests: str) -> None:
    said = named(name)
    assert said.head == suggests
    assert said.implied == (suggests != "guard")


@pytest.mark.parametrize("name", ["", "workshop", "blorp 7", "notes", "2", "xyzzy"])
def test_a_name_that_says_nothing_is_no_part(name: str) -> None:
    assert named(name).head == ""


@pytest.mark.parametrize(
    "text",
    [
        "[bed]\nwidth = 300\ncolour = black\n",
        "[hot end]\nweight = 80\n",
        "[power]\nbutton = stop\n",
        "[limits]\ncredit = 7\n",
        "[temperature]\nweather = cold\n",
    ],
)
def test_what_a_name_only_suggests_needs_a_setting_that_bears_it_out(text: str) -> None:
    assert kinds_of(text) == []


@pytest.mark.parametrize(
    ("text", "kinds"),
    [
        ("[bed]\nheater pin = PA1\nmax temp = 110\n", ["heater"]),
        ("[power]\nvoltage = 24 V\nwatts = 350\n", ["supply"]),
        ("[limits]\nmax speed = 200\nmax accel = 3000\n", ["motion"]),
        ("[temperature chamber]\ninput = PA1\nkind = NTC 100k\n", ["sensor"]),
        ("[air chamber]\nfan pin = PA1\n", ["fan"]),
        ("[electronics main]\nchip = STM32F446\nlink = /dev/ttyACM0\n", ["board"]),
    ],
)
def test_a_setting_that_such_a_part_has_bears_it_out(text: str, kinds: list[str]) -> None:
    assert kinds_of(text) == kinds


@pytest.mark.parametrize(
    ("text", "kinds"),
    [
        ("[axis x]\nstep pin = PA1\ndirection pin = PA2\ntravel max = 300\n", ["axis", "motor"]),
        ("[axis x]\ntravel max = 300\nmax speed = 200\n", ["axis"]),
        ("[axis x]\ntravel max = 300\nstep pin = PA1\ndriver model = TMC2209\n", ["axis", "motor", "driver"]),
        ("[motor x]\nstep pin = PA1\ndirection pin = PA2\n", ["motor"]),
        ("[motor x]\nstep pin = PA1\ntravel max = 300\n", ["motor", "axis"]),
        ("[extruder]\nstep pin = PA1\nheater pin = PA2\nsensor pin = PA3\n", ["motor", "heater"]),
        ("[extruder]\nstep pin = PA1\ndirection pin = PA2\nnozzle diameter = 0.4\n", ["motor"]),
        ("[extruder]\nheater pin = PA2\nsensor pin = PA3\nmax temp = 280\n", ["heater"]),
        ("[heater bed]\nheater pin = PA2\nsensor pin = PA3\n", ["heater"]),
    ],
)
def test_a_section_may_be_several_parts(text: str, kinds: list[str]) -> None:
    assert kinds_of(text) == kinds


@given(st.text(max_size=50))
def test_any_name_is_read(name: str) -> None:
    said = named(name)
    assert said.head in PART_KINDS | {EXTRUDER, ""}
    assert said.axis is None or said.axis in AXES
    assert said.why


@given(
    st.sampled_from(
        ["heater bed", "fan part left", "axis x", "limit switch y", "macro lower probe", "bed", "z1"]
    )
)
def test_the_hand_that_writes_a_name_changes_no_kind(name: str) -> None:
    plain = name.split()
    camel = plain[0] + "".join(word.capitalize() for word in plain[1:])
    for hand in ("_".join(plain), "-".join(plain), name.upper(), name.title(), camel):
        assert named(hand)[:1] + named(hand)[2:] == named(name)[:1] + named(name)[2:], hand


@pytest.mark.parametrize("name", ["macro take care of", "macro the long way home"])
def test_every_word_of_a_macro_s_name_belongs_to_it(name: str) -> None:
    (part,) = section_of(f"[{name}]\nbody = G28\n").parts
    assert (part.kind, part.name) == ("macro", name.removeprefix("macro "))
