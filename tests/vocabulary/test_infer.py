"""What a section is where its name does not say it: its settings do, as a builder reads them. No source."""

from __future__ import annotations

import pytest

from vocabulary.reading_text import kinds_of, read_text, section_of

HEAT = "pin of heater = PA1\nkind of thermistor = NTC 100k\nmin temp = 0\nmax temp = 120\ncontrol = PID\n"


@pytest.mark.parametrize(
    ("settings", "kinds"),
    [
        ("step pin = PA1\ndirection pin = PA2\nmicrosteps = 16\n", ["motor"]),
        ("step pin = PA1\nmax travel = 300\nhome position = 0\n", ["axis", "motor"]),
        ("max travel = 300\nmax speed = 200\nhome position = 0\n", ["axis"]),
        ("heater pin = PA1\nsensor pin = PA2\nmax temp = 120\n", ["heater"]),
        (
            "step pin = PA1\ndirection pin = PA2\nheater pin = PA3\nnozzle diameter = 0.4\n",
            ["motor", "heater"],
        ),
        ("probe pin = PA1\noffset x = 10\nsamples = 3\n", ["probe"]),
        ("front left = 10, 10\nback right = 290, 290\ncolumns = 5\n", ["mesh"]),
        ("shortest pulse = 600 us\nlongest pulse = 2400 us\n", ["servo"]),
        ("shaper = MZV\nresonance frequency = 45 Hz\n", ["shaper"]),
        ("chip = STM32F446\nbaud rate = 250000\n", ["board"]),
        ("voltage = 24 V\nrated power = 350 W\n", ["supply"]),
        ("kinematics = corexy\nmax speed = 300\n", ["motion"]),
        ("fan pin = PA1\ntacho pin = PA2\n", ["fan"]),
        ("run current = 0.8 A\nhold current = 0.4 A\n", ["driver"]),
        ("temperature rise = 2 °C\nwithin = 20 s\nheater = bed\n", ["guard"]),
    ],
)
@pytest.mark.parametrize("name", ["thing", "left corner shelf", "no 7"])
def test_settings_that_only_one_kind_has_show_it(name: str, settings: str, kinds: list[str]) -> None:
    assert kinds_of(f"[{name}]\n{settings}") == kinds


@pytest.mark.parametrize("settings", ["max speed = 200\n", "pin = PA1\n", "colour = red\nweight = 3\n", ""])
def test_one_setting_alone_shows_nothing(settings: str) -> None:
    assert kinds_of(f"[thing]\n{settings}") == []


def test_a_few_settings_among_many_strange_ones_show_nothing() -> None:
    strange = "".join(f"{word} = 1\n" for word in "blorp quux frob grault garply waldo xyzzy".split())
    assert kinds_of(f"[thing]\nmax speed = 200\nmax accel = 3000\n{strange}") == []


def test_lines_of_g_code_make_a_macro() -> None:
    assert kinds_of("[evening]\nat night =\n  G28\n  M84\n") == ["macro"]


def test_a_place_that_a_name_mentions_makes_no_heater_of_g_code() -> None:
    assert kinds_of("[clean the nozzle]\nkind = fast\nhow =\n  G1 X5 F3000\n  G1 X10\n") == ["macro"]


def test_a_bed_with_a_heaters_settings_is_a_heater_and_no_sensor() -> None:
    """A sensor's section may mention its heater, but a control and a heater's pin are the heater's own."""
    assert kinds_of("[the bed]\n" + HEAT) == ["heater"]


def test_a_name_that_names_a_part_needs_no_settings() -> None:
    assert kinds_of("[fan part]\nblorp = 3\n") == ["fan"]


def test_settings_that_contradict_a_name_outvote_it() -> None:
    """``slide`` is a rail's word, and the builder's name of a supply."""
    text = "[rail main]\nvoltage = 24 V\nrated power = 350 W\ncurrent limit = 14 A\nmade in = 2020\n"
    assert kinds_of(text) == ["supply"]


def test_references_mean_what_the_settings_made_of_a_section() -> None:
    """A panel may be a display; this one heats."""
    panel = "[panel rear]\nheater pin = PA1\nsensor pin = PA2\nmax temp = 60\nmin temp = 5\ncontrol = PID\n"
    tree = read_text(f"[guard]\nwatches = panel rear\n{panel}")
    assert [part.kind for part in tree.sections[1].parts] == ["heater"]
    assert tree.sections[0].readings[0].role == "ref.heater"


@pytest.mark.parametrize(
    ("settings", "kinds"),
    [
        ("step pin = PA1\ndirection pin = PA2\ntravel per turn = 22\n", ["motor"]),
        ("heater pin = PA1\nsensor pin = PA2\nmax temp = 280\n", ["heater"]),
        ("step pin = PA1\nheater pin = PA2\nsensor pin = PA3\n", ["motor", "heater"]),
        ("step pin = PA1\npid p = 20\npid i = 1\npid d = 90\n", ["motor", "heater"]),
        ("heater = hot block\nmotor = feed\nnozzle diameter = 0.4\n", ["other"]),
    ],
)
def test_an_extruder_is_what_its_settings_show(settings: str, kinds: list[str]) -> None:
    assert kinds_of(f"[extruder]\n{settings}") == kinds


def test_an_extruder_that_refers_to_its_heater_is_none() -> None:
    text = "[extruder]\nstep pin = PA1\nheater = hot block\nmin extrude temp = 170\n"
    section = read_text(text + "[heater hot block]\npin = PA2\n").sections[0]
    assert [part.kind for part in section.parts] == ["motor"]
    assert {one.setting.name: one.role for one in section.readings}["heater"] == "ref.heater"


USES = "[motor x]\nstep pin = x_step_plug\n"


@pytest.mark.parametrize("name", ["plugs", "the back row", "J4"])
def test_names_that_stand_elsewhere_as_values_are_aliases(name: str) -> None:
    section = read_text(f"{USES}[{name}]\nx_step_plug = PA1\nspare_plug = PA2\n").sections[1]
    assert [part.kind for part in section.parts] == ["alias"]
    assert read_text(f"{USES}[{name}]\nx_step_plug = PA1\nspare_plug = PA2\n").sections[0].readings[0].fits


@pytest.mark.parametrize(
    "text",
    [
        "[plugs]\nupper_plug = PA1\nspare_plug = PA2\n",  # nobody uses the names
        f"{USES}[plugs]\nx_step_plug = PA1\n",  # one is no list of names
        f"{USES}[plugs]\nx_step_plug = PA1\nsize = 3\n",  # not all are pins
    ],
)
def test_other_sections_of_pins_are_no_aliases(text: str) -> None:
    assert all(part.kind != "alias" for part in read_text(text).sections[-1].parts)


def test_an_alias_section_says_so_itself() -> None:
    section = section_of("[pin names]\nspare_plug = PA2\n")
    assert [part.kind for part in section.parts] == ["alias"]
    assert [one.role for one in section.readings] == [None]
    assert list(read_text("[pin names]\nspare_plug = PA2\n").unknown()) == []


@pytest.mark.parametrize(
    ("section", "settings", "role"),
    [
        ("fan part", "plug = PA1\nkick blorp = 3\n", "pin.fan"),
        ("probe", "plug = PA1\nsamples = 3\n", "pin.probe"),
        ("servo arm", "blorp = PA1\nmax angle = 180\n", "pin.servo"),
        ("light case", "blorp = PA1\n", "pin.light"),
        ("heater bed", "blorp = PA1\nsensor pin = PA2\n", "pin.heater"),
    ],
)
def test_the_only_pin_left_is_the_one_that_the_part_needs(section: str, settings: str, role: str) -> None:
    assert section_of(f"[{section}]\n{settings}").readings[0].role == role


@pytest.mark.parametrize(
    ("section", "settings"),
    [
        ("fan part", "blorp = PA1\nquux = PA2\n"),  # which of the two?
        ("fan part", "fan pin = PA1\nquux = PA2\n"),  # it has one
        ("heater bed", "max temp = 120\nquux = PA2\n"),  # may be the sensor's
    ],
)
def test_a_pin_that_may_be_another_stays_a_pin_of_some_kind(section: str, settings: str) -> None:
    assert section_of(f"[{section}]\n{settings}").readings[-1].role == "pin.other"
