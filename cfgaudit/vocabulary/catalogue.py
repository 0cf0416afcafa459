"""The tool's own words: the kinds of parts, and the roles that a setting can play in them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from cfgaudit.syntax.value import Dimension

PART_KINDS = frozenset(
    (
        "board axis motor driver heater sensor fan guard probe mesh level servo filament shaper accelerometer"
        " motion endstop macro output light display alias supply other"
    ).split()
)

AXES = frozenset("xyzabcuvwe")


NO_ROLE = "none"
"""What ``cfgaudit.toml`` says of a setting that plays no role here, whatever its words seem to say."""


class RoleSpec(NamedTuple):
    """What a role is: the kinds of parts that can have it, the shape of its value, and its dimension.

    Shapes: ``pin``, ``number``, ``numbers`` (one or several), ``ratio`` (a fraction or a number), ``text``,
    ``name`` (of a part), ``body`` (lines of a macro), ``side`` (one of two), ``any``.
    """

    parts: frozenset[str]
    shape: str
    dimension: Dimension = Dimension.NONE
    base_unit: str = ""
    """The unit that a bare number is read in."""


def _spec(parts: str, shape: str, dimension: Dimension = Dimension.NONE, unit: str = "") -> RoleSpec:
    return RoleSpec(frozenset(parts.split()), shape, dimension, unit)


_LENGTH = (Dimension.LENGTH, "mm")
_TEMPERATURE = (Dimension.TEMPERATURE, "°C")
_TIME = (Dimension.TIME, "s")
_ANY = " ".join(sorted(PART_KINDS))

ROLES: Mapping[str, RoleSpec] = {
    "pin.step": _spec("motor axis driver", "pin"),
    "pin.direction": _spec("motor axis driver", "pin"),
    "pin.enable": _spec("motor axis driver output fan heater", "pin"),
    "pin.endstop": _spec("endstop axis motor", "pin"),
    "pin.heater": _spec("heater", "pin"),
    "pin.sensor": _spec("sensor heater", "pin"),
    "pin.fan": _spec("fan heater", "pin"),
    "pin.tach": _spec("fan", "pin"),
    "pin.probe": _spec("probe", "pin"),
    "pin.servo": _spec("servo probe", "pin"),
    "pin.filament": _spec("filament", "pin"),
    "pin.output": _spec("output", "pin"),
    "pin.light": _spec("light", "pin"),
    "pin.select": _spec("driver accelerometer sensor display heater motor axis other board probe", "pin"),
    "pin.uart": _spec("driver motor axis board display other", "pin"),
    "pin.clock": _spec(
        "driver accelerometer sensor display heater motor axis other board light probe", "pin"
    ),
    "pin.data_in": _spec("driver accelerometer sensor display heater motor axis other board probe", "pin"),
    "pin.data_out": _spec("driver accelerometer sensor display heater motor axis other board probe", "pin"),
    "pin.other": _spec(_ANY, "pin"),
    "ref.heater": _spec("motor fan guard sensor probe filament macro output light display other", "name"),
    "ref.sensor": _spec("heater fan guard probe output display axis motor other", "name"),
    "ref.fan": _spec("heater guard sensor board macro output motor driver other", "name"),
    "ref.motor": _spec("driver axis level filament fan other guard heater endstop", "name"),
    "ref.axis": _spec("other accelerometer shaper motor driver endstop level probe servo", "name"),
    "ref.board": _spec(_ANY, "name"),
    "ref.macro": _spec("filament probe output level guard display heater servo endstop other", "name"),
    "ref.probe": _spec("mesh level axis motor endstop", "name"),
    "ref.accelerometer": _spec("shaper axis motion board", "name"),
    "travel.min": _spec("axis motor motion", "number", *_LENGTH),
    "travel.max": _spec("axis motor motion", "number", *_LENGTH),
    "home.position": _spec("axis motor endstop motion", "number", *_LENGTH),
    "home.speed": _spec("axis motor endstop motion", "number", Dimension.SPEED, "mm/s"),
    "home.direction": _spec("axis motor endstop", "side"),
    "home.retract": _spec("axis motor endstop", "number", *_LENGTH),
    "speed.max": _spec("axis motor motion", "number", Dimension.SPEED, "mm/s"),
    "accel.max": _spec("axis motor motion", "number", Dimension.ACCELERATION, "mm/s²"),
    "speed.corner": _spec("axis motor motion", "number", Dimension.SPEED, "mm/s"),
    "steps.full": _spec("motor axis driver", "number"),
    "steps.micro": _spec("motor axis driver", "ratio"),
    "travel.turn": _spec("motor axis", "number", *_LENGTH),
    "gear.ratio": _spec("motor axis", "ratio"),
    "driver.model": _spec("driver motor axis", "text"),
    "driver.address": _spec("driver motor axis", "number"),
    "current.run": _spec("driver motor axis", "number", Dimension.CURRENT, "A"),
    "current.hold": _spec("driver motor axis", "number", Dimension.CURRENT, "A"),
    "sense.resistance": _spec("driver motor axis", "number", Dimension.RESISTANCE, "Ω"),
    "sensor.kind": _spec("sensor heater", "text"),
    "sensor.pullup": _spec("sensor heater", "number", Dimension.RESISTANCE, "Ω"),
    "sensor.nominal": _spec("sensor heater", "number", Dimension.RESISTANCE, "Ω"),
    "sensor.beta": _spec("sensor heater", "number", Dimension.TEMPERATURE, "K"),
    "heater.resistance": _spec("heater", "number", Dimension.RESISTANCE, "Ω"),
    "temp.min": _spec("heater sensor fan", "number", *_TEMPERATURE),
    "temp.max": _spec("heater sensor fan", "number", *_TEMPERATURE),
    "temp.trigger": _spec("fan output light guard", "number", *_TEMPERATURE),
    "temp.target": _spec("heater fan", "number", *_TEMPERATURE),
    "power.max": _spec("heater fan output light", "number", Dimension.RATIO, ""),
    "power.min": _spec("heater fan output light", "number", Dimension.RATIO, ""),
    "power.rating": _spec("heater supply fan motor light output", "number", Dimension.POWER, "W"),
    "volts": _spec(
        "supply heater fan driver motor board light output servo", "number", Dimension.VOLTAGE, "V"
    ),
    "control.kind": _spec("heater fan", "text"),
    "pid.p": _spec("heater fan", "number"),
    "pid.i": _spec("heater fan", "number"),
    "pid.d": _spec("heater fan", "number"),
    "pwm.frequency": _spec("heater fan output light servo", "number", Dimension.FREQUENCY, "Hz"),
    "guard.rise": _spec("guard heater", "number", *_TEMPERATURE),
    "guard.time": _spec("guard heater", "number", *_TIME),
    "guard.band": _spec("guard heater", "number", *_TEMPERATURE),
    "offset": _spec("probe", "numbers", *_LENGTH),
    "probe.samples": _spec("probe", "number"),
    "probe.tolerance": _spec("probe level", "number", *_LENGTH),
    "probe.speed": _spec("probe mesh level", "number", Dimension.SPEED, "mm/s"),
    "mesh.low": _spec("mesh", "numbers", *_LENGTH),
    "mesh.high": _spec("mesh", "numbers", *_LENGTH),
    "mesh.count": _spec("mesh", "numbers"),
    "level.points": _spec("level", "numbers", *_LENGTH),
    "level.pivots": _spec("level", "numbers", *_LENGTH),
    "pulse.min": _spec("servo", "number", *_TIME),
    "pulse.max": _spec("servo", "number", *_TIME),
    "angle.max": _spec("servo", "number", Dimension.ANGLE, "deg"),
    "angle.start": _spec("servo", "number", Dimension.ANGLE, "deg"),
    "shaper.kind": _spec("shaper axis motion", "text"),
    "shaper.frequency": _spec("shaper axis motion", "number", Dimension.FREQUENCY, "Hz"),
    "shaper.damping": _spec("shaper axis motion", "number", Dimension.RATIO, ""),
    "nozzle.size": _spec("heater motor other", "number", *_LENGTH),
    "filament.size": _spec("heater motor filament other", "number", *_LENGTH),
    "extrude.temp": _spec("heater motor other", "number", *_TEMPERATURE),
    "kinematics": _spec("motion", "text"),
    "board.chip": _spec("board", "text"),
    "board.link": _spec("board", "text"),
    "board.address": _spec("board", "any"),
    "board.bitrate": _spec("board", "number", Dimension.BITRATE, "bit/s"),
    "board.steprate": _spec("board motion", "number"),
    "bus.address": _spec("sensor accelerometer display driver other probe heater", "number"),
    "bus.speed": _spec(
        "sensor accelerometer display driver other probe heater", "number", Dimension.FREQUENCY, "Hz"
    ),
    "bus.name": _spec("sensor accelerometer display driver other probe heater", "text"),
    "macro.body": _spec("macro filament guard probe output", "body"),
    "debounce": _spec("filament probe endstop axis output", "number", *_TIME),
}
"""Every role. Where ``parts`` has several kinds, the section's other words decide."""
