"""One setting in a section whose kind is plain: which role it plays, and when it plays none.

What the words mean is plain English and the trade's; no source.
"""

from __future__ import annotations

import pytest

from cfgaudit.vocabulary.catalogue import ROLES
from cfgaudit.vocabulary.words import load_words
from vocabulary.reading_text import read_text, reading_of, role_of, section_of

MAIN = "\n[board main]\nchip = STM32F446\n"


@pytest.mark.parametrize(
    ("section", "line", "role"),
    [
        ("motor x", "step pin = PA1", "pin.step"),
        ("motor x", "step = PA1", "pin.step"),
        ("motor x", "direction pin = PA2", "pin.direction"),
        ("motor x", "dir = !PA2", "pin.direction"),
        ("motor x", "enable = PA3", "pin.enable"),
        ("motor x", "pin for enable = PA3", "pin.enable"),
        ("motor x", "microsteps = 16", "steps.micro"),
        ("motor x", "full steps per turn = 200", "steps.full"),
        ("motor x", "step angle = 1.8", "steps.full"),
        ("motor x", "travel per turn = 40 mm", "travel.turn"),
        ("motor x", "mm per revolution = 8", "travel.turn"),
        ("motor x", "gear ratio = 1:3", "gear.ratio"),
        ("axis x", "max travel = 300", "travel.max"),
        ("axis x", "travel max = 300", "travel.max"),
        ("axis x", "min = -5", "travel.min"),
        ("axis x", "lowest position = -5", "travel.min"),
        ("axis x", "max speed = 200", "speed.max"),
        ("axis x", "speed limit = 200 mm/s", "speed.max"),
        ("axis x", "max acceleration = 3000", "accel.max"),
        ("axis x", "limit of acceleration = 3000 mm/s²", "accel.max"),
        ("axis x", "homing speed = 30", "home.speed"),
        ("axis x", "speed when homing = 30", "home.speed"),
        ("axis x", "home position = 0", "home.position"),
        ("axis x", "homing direction = min", "home.direction"),
        ("axis x", "homing retract = 5 mm", "home.retract"),
        ("axis x", "endstop = PC4", "pin.endstop"),
        ("axis x", "limit switch pin = PC4", "pin.endstop"),
        ("endstop x", "pin = PC4", "pin.endstop"),
        ("endstop x", "debounce = 5 ms", "debounce"),
        ("driver x", "run current = 0.8 A", "current.run"),
        ("driver x", "current while holding = 0.4", "current.hold"),
        ("driver x", "sense resistor = 0.11", "sense.resistance"),
        ("driver x", "chip = TMC2209", "driver.model"),
        ("driver x", "address = 2", "driver.address"),
        ("driver x", "uart pin = PC11", "pin.uart"),
        ("driver x", "chip select = PC12", "pin.select"),
        ("heater bed", "heater pin = PA1", "pin.heater"),
        ("heater bed", "pin = PA1", "pin.heater"),
        ("heater bed", "sensor pin = PA3", "pin.sensor"),
        ("heater bed", "thermistor = PA3", "pin.sensor"),
        ("heater bed", "analog input = PA3", "pin.sensor"),
        ("heater bed", "sensor type = NTC 100k", "sensor.kind"),
        ("heater bed", "pull-up resistor = 4.7k", "sensor.pullup"),
        ("heater bed", "min temp = 0", "temp.min"),
        ("heater bed", "max temp = 120", "temp.max"),
        ("heater bed", "hottest = 120 °C", "temp.max"),
        ("heater bed", "upper limit = 120 °C", "temp.max"),
        ("heater bed", "max power = 80 %", "power.max"),
        ("heater bed", "power = 350 W", "power.rating"),
        ("heater bed", "wattage = 350", "power.rating"),
        ("heater bed", "control = PID", "control.kind"),
        ("heater bed", "kp = 22.2", "pid.p"),
        ("heater bed", "i = 1.08", "pid.i"),
        ("heater bed", "pid d = 114", "pid.d"),
        ("heater bed", "pwm frequency = 10 Hz", "pwm.frequency"),
        ("heater bed", "voltage = 24 V", "volts"),
        ("sensor chamber", "pin = PA3", "pin.sensor"),
        ("sensor chamber", "type = NTC 10k", "sensor.kind"),
        ("sensor chamber", "max = 80", "temp.max"),
        ("fan part", "pin = PB1", "pin.fan"),
        ("fan part", "driven by = PB1", "pin.fan"),
        ("fan part", "tacho pin = PB2", "pin.tach"),
        ("fan part", "starts at = 50 °C", "temp.trigger"),
        ("fan part", "full speed = 0.8", "power.max"),
        ("guard bed", "rise = 2 °C", "guard.rise"),
        ("guard bed", "within = 20 s", "guard.time"),
        ("guard bed", "hysteresis = 4 °C", "guard.band"),
        ("probe", "pin = PB3", "pin.probe"),
        ("probe", "offset x = 10", "offset"),
        ("probe", "dx = 10", "offset"),
        ("probe", "samples = 3", "probe.samples"),
        ("probe", "tolerance = 0.01", "probe.tolerance"),
        ("probe", "speed = 5 mm/s", "probe.speed"),
        ("mesh", "front left = 10, 10", "mesh.low"),
        ("mesh", "back right = 290, 290", "mesh.high"),
        ("mesh", "number of points = 5 x 5", "mesh.count"),
        ("level", "probe points = 10, 10", "level.points"),
        ("servo arm", "pin = PB4", "pin.servo"),
        ("servo arm", "shortest pulse = 600 us", "pulse.min"),
        ("servo arm", "max angle = 180", "angle.max"),
        ("shaper x", "frequency = 45 Hz", "shaper.frequency"),
        ("shaper x", "kind = MZV", "shaper.kind"),
        ("shaper x", "damping ratio = 0.1", "shaper.damping"),
        ("filament watch", "pin = PB5", "pin.filament"),
        ("light case", "pin = PB6", "pin.light"),
        ("output pump", "pin = PB7", "pin.output"),
        ("board main", "chip = STM32F446", "board.chip"),
        ("board main", "link = /dev/ttyACM0", "board.link"),
        ("board main", "baud rate = 250000", "board.bitrate"),
        ("accelerometer head", "chip select = PB8", "pin.select"),
        ("accelerometer head", "bus = spi2", "bus.name"),
        ("supply main", "volts = 24", "volts"),
        ("supply main", "rated power = 350 W", "power.rating"),
        ("motion", "kinematics = corexy", "kinematics"),
        ("motion", "corner speed = 5", "speed.corner"),
        ("macro pause", "gcode = G28", "macro.body"),
        ("macro pause", "whatever = G28", "macro.body"),
        ("extruder", "nozzle diameter = 0.4", "nozzle.size"),
        ("extruder", "filament diameter = 1.75", "filament.size"),
        ("extruder", "min extrude temp = 170", "extrude.temp"),
    ],
)
def test_plain_words_say_the_role(section: str, line: str, role: str) -> None:
    assert role_of(section, line) == role


@pytest.mark.parametrize(
    ("section", "line"),
    [
        ("heater bed", "blorp = 3"),
        ("heater bed", "colour = black"),
        ("heater bed", "owner = Ines"),
        ("heater bed", "note = max temp"),
        ("heater bed", "wire colour = green"),
        ("motor x", "belt width = 6"),
        ("fan part", "noise = 30"),
        ("axis x", "grumpy max blorp speed quux = 3"),
        ("board main", "revision = 2"),
        ("macro pause", "description = stops the print"),
        ("supply main", "serviced = 2024"),
        ("workshop", "temperature = 21"),
    ],
)
def test_no_guess_is_better_than_a_wrong_one(section: str, line: str) -> None:
    reading = reading_of(section, line)
    assert reading.role is None
    assert reading.why


@pytest.mark.parametrize(
    ("section", "line", "not_this"),
    [
        ("axis x", "search speed = 30", "speed.max"),
        ("fan part", "slowest speed = 0.2", "power.max"),
        ("heater bed", "lower temperature limit = 5", "temp.max"),
        ("heater bed", "limit under which it is broken = 5", "temp.max"),
        ("servo arm", "stowed angle = 10", "angle.max"),
        ("heater bed", "calibration temperature blorp = 60", "temp.max"),
        ("axis x", "jog blorp speed = 20", "speed.max"),
        ("motor x", "idle blorp current = 0.2", "current.run"),
    ],
)
def test_a_qualifier_never_falls_back_on_the_plain_role(section: str, line: str, not_this: str) -> None:
    assert role_of(section, line) != not_this


@pytest.mark.parametrize(
    ("section", "line"),
    [
        ("heater bed", "spare = PA5"),
        ("workshop", "thing = PA5"),
        ("workshop", "blorp = main.PA5, pull-up"),
        ("heater bed", "max temp = PA5"),
    ],
)
def test_what_can_only_be_a_pin_is_a_pin_of_some_kind(section: str, line: str) -> None:
    assert role_of(section, line) in ("pin.other", "pin.heater")


@pytest.mark.parametrize(
    ("section", "line"),
    [
        ("fan part", "connected to = Ines"),
        ("heater bed", "drive = yes"),
        ("axis x", "switch = max"),
        ("motor x", "step = 5"),
        ("heater bed", "output = 300 W"),
        ("fan part", "sits on = shelf"),
    ],
)
def test_a_bare_word_is_no_pin(section: str, line: str) -> None:
    role = role_of(section, line)
    assert role is None or not role.startswith("pin.")


@pytest.mark.parametrize("section", ["axis x", "motor x", "endstop x", "probe", "filament watch", "fan side"])
@pytest.mark.parametrize("words", ["thermistor", "thermistor pin", "temp sensor"])
def test_what_senses_heat_senses_nothing_else(section: str, words: str) -> None:
    """A motor or a probe may have a thermometer; its pin is not the switch's or the tacho's."""
    other = f"[{section}]\n{words} = PA1\nspare = PA2\n"
    assert section_of(other).readings[0].role == "pin.other"
    assert role_of(section, f"{words} = NTC 100k") in (None, "ref.sensor")


@pytest.mark.parametrize(
    ("section", "line", "role"),
    [
        ("heater bed", "max temp = 120 mm", "temp.max"),
        ("axis x", "max speed = 200 °C", "speed.max"),
        ("axis x", "max travel = far", "travel.max"),
        ("motor x", "step pin = 5 mm", "pin.step"),
        ("driver x", "run current = 800 mm", "current.run"),
    ],
)
def test_words_that_leave_no_doubt_decide_against_the_value_and_say_so(
    section: str, line: str, role: str
) -> None:
    reading = reading_of(section, line)
    assert (reading.role, reading.fits) == (role, False)


@pytest.mark.parametrize(
    ("section", "line", "role"),
    [
        ("heater bed", "power = 350 W", "power.rating"),
        ("heater bed", "power = 80 %", "power.max"),
        ("heater bed", "power = 0.8", "power.max"),
        ("heater bed", "sensor = PA3", "pin.sensor"),
        ("heater bed", "sensor = NTC 100k", "sensor.kind"),
        ("fan part", "speed = 0.8", "power.max"),
        ("motor x", "drive ratio = 1:3", "gear.ratio"),
        ("guard bed", "max = 20 s", "guard.time"),
        ("axis x", "limit = 300 mm", "travel.max"),
        ("axis x", "limit = 200 mm/s", "speed.max"),
        ("axis x", "limit = 3000 mm/s²", "accel.max"),
    ],
)
def test_the_value_decides_between_the_roles_of_one_word(section: str, line: str, role: str) -> None:
    assert role_of(section, line) == role


@pytest.mark.parametrize(
    ("line", "others", "role"),
    [
        ("[driver x]\nfor = x\n", "[motor x]\nstep pin = PA1\n", "ref.motor"),
        ("[driver x]\nserves = carriage x\n", "[axis x]\nstep pin = PA1\nmax travel = 300\n", "ref.motor"),
        ("[fan cold side]\nfollows = hot end\n", "[heater hot end]\nheater pin = PA1\n", "ref.heater"),
        ("[fan bay]\nwatches = bay\n", "[sensor bay]\npin = PA1\n", "ref.sensor"),
        ("[guard bed]\nwatches = heater bed\n", "[heater bed]\npin = PA1\n", "ref.heater"),
        ("[heater bed]\nsensor = bed feel\n", "[sensor bed feel]\npin = PA1\n", "ref.sensor"),
        ("[heater bed]\nconnected to = main\n", MAIN, "ref.board"),
        ("[fan part]\nsits on = main\n", MAIN, "ref.board"),
        ("[endstop x]\nfor = axis x\n", "[axis x]\nmax travel = 300\n", "ref.axis"),
        ("[mesh]\nprobe = feeler\n", "[probe feeler]\npin = PA1\n", "ref.probe"),
        ("[filament watch]\nwhen empty = change spool\n", "[macro change spool]\ngcode = M0\n", "ref.macro"),
        ("[shaper x]\nmeasured with = head\n", "[accelerometer head]\nbus = spi1\n", "ref.accelerometer"),
        ("[heater bed]\ncooled by = breeze\n", "[fan breeze]\npin = PA1\n", "ref.fan"),
    ],
)
def test_a_value_that_names_a_part_is_a_reference_to_it(line: str, others: str, role: str) -> None:
    assert read_text(line + others).sections[0].readings[0].role == role


@pytest.mark.parametrize(
    "spelling",
    ["heater case", "case", "heater.case", "case heater", "Heater_Case", "HEATER-CASE", '"heater case"'],
)
def test_a_reference_may_spell_a_part_by_its_label_or_its_section_in_any_way(spelling: str) -> None:
    tree = read_text(f"[fan side]\nruns with = {spelling}\n[heater case]\npin = PA1\n")
    assert tree.sections[0].readings[0].role == "ref.heater"


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ("max temp", "temp max"),
        ("max speed", "speed max"),
        ("step pin", "pin step"),
        ("homing speed", "speed homing"),
        ("run current", "current run"),
        ("sensor pin", "pin sensor"),
        ("gear ratio", "ratio gear"),
        ("speed of homing", "homing of speed"),
    ],
)
@pytest.mark.parametrize("section", ["extruder", "axis x", "heater bed", "motor x"])
def test_the_order_of_the_words_changes_no_role(section: str, first: str, second: str) -> None:
    for value in ("PA1", "20", "1:3"):
        assert role_of(section, f"{first} = {value}") == role_of(section, f"{second} = {value}")


@pytest.mark.parametrize(
    ("line", "axis"),
    [
        ("max x = 300", "x"),
        ("xMax = 300", "x"),
        ("z_min = 0", "z"),
        ("max = 300", None),
        ("y max travel = 3", "y"),
    ],
)
def test_a_setting_may_say_its_axis(line: str, axis: str | None) -> None:
    assert reading_of("motion", line).axis == axis


def test_every_role_can_be_said() -> None:
    """All but that of a pin of no known use."""
    assert {pattern.role for pattern in load_words().patterns} == set(ROLES) - {"pin.other"}
