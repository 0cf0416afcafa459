"""Heat of an invented machine: heaters, sensors, fans, guards, the extruder."""

from __future__ import annotations

from vocabulary.invented_motion import add_extruder_motor
from vocabulary.invented_parts import Builder, Named, Part, Quantity, Span

LIMITS = {"hotend": (5.0, 290.0), "bed": (5.0, 120.0), "chamber": (5.0, 65.0)}
WATTS = {"hotend": 50.0, "bed": 220.0, "chamber": 80.0}
OHMS = {"hotend": 11.5, "bed": 2.6, "chamber": 7.2}
PIDS = {"hotend": ("22.2", "1.08", "114"), "bed": ("54.1", "0.77", "948.2"), "chamber": ("31", "0.4", "300")}
GUARDS = {"hotend": (2.0, 20.0, 12.0), "bed": (2.0, 60.0, 6.0), "chamber": (1.0, 150.0, 5.0)}
SENSORS = ("NTC 100k B3950", "ntc-100k-3950", "NTC100K", "NTC")


def add_heat(builder: Builder) -> None:
    zones = ["hotend", "bed", *(["chamber"] if builder.maybe() else [])]
    joined_sensor, joined_guard = builder.maybe(0.6), builder.maybe(0.25)
    for zone in zones:
        heater = _heater(builder, zone)
        _sensor(builder, heater, zone, joined=joined_sensor)
        _limits(builder, heater, zone)
        _control(builder, heater, zone)
        _guard(builder, heater, zone, joined=joined_guard)
    _fans(builder, "chamber" in zones)


def _heater(builder: Builder, zone: str) -> Part:
    """A heater with its own pin; the hot end's may be an extruder, with its motor."""
    head = zone == "hotend"
    board = builder.head if head else "main"
    if head and builder.maybe(0.4):
        heater = builder.part("extruder", "", ("motor", "heater"), board)
        add_extruder_motor(builder, heater)
    else:
        heater = builder.part("heater", zone, board=board)
    heater.add("pin.heater", builder.pin(board), "joined" if heater.word == "extruder" else "")
    if head:
        if heater.word == "heater":
            motor = builder.part("motor", "e", ("motor", "heater"), board)
            add_extruder_motor(builder, motor)
        heater.add("nozzle.size", Quantity(0.4, "mm"))
        holder = heater if heater.word == "extruder" else motor
        holder.add("filament.size", Quantity(1.75, "mm"))
        holder.add("extrude.temp", Quantity(170.0, "°C"))
    return heater


def _sensor(builder: Builder, heater: Part, zone: str, *, joined: bool) -> None:
    kind = builder.rng.choice(SENSORS) if zone != "hotend" or builder.maybe() else "PT1000"
    pin = builder.pin(heater.board, analog=True)
    if joined:
        heater.kinds = (*heater.kinds, "sensor")
        if heater.word == "heater":  # beside a sensor's pin a bare "pin" would say too little
            heater.wants = [
                want if want.role != "pin.heater" else type(want)(want.role, want.says, "joined")
                for want in heater.wants
            ]
        heater.add("pin.sensor", pin, "joined")
        heater.add("sensor.kind", kind, "joined")
        heater.add("sensor.pullup", Quantity(4700.0, "ohm"))
        return
    sensor = builder.part("sensor", zone, board=heater.board)
    sensor.add("pin.sensor", pin)
    sensor.add("sensor.kind", kind)
    sensor.add("sensor.pullup", Quantity(4700.0, "ohm"))
    _curve(sensor, kind, "")
    if builder.maybe(0.2):
        sensor.add("ref.heater", Named((heater,)), "sensor")
    heater.add("ref.sensor", Named((sensor,)), "heater")


def _curve(holder: Part, kind: str, place: str) -> None:
    """What the name of the kind leaves out."""
    if kind == "NTC":
        holder.add("sensor.nominal", Quantity(100_000.0, "ohm"), place)
        holder.add("sensor.beta", "3950", place)


def _limits(builder: Builder, heater: Part, zone: str) -> None:
    low, high = LIMITS[zone]
    place = "extruder" if heater.word == "extruder" else ""
    if builder.maybe(0.2) and not place:
        heater.add("temp.max", Span(((low, high),), "range", "°C"), "range")
    else:
        heater.add("temp.min", Quantity(low, "°C"), place)
        heater.add("temp.max", Quantity(high, "°C"), place)
    if builder.maybe():
        heater.add("power.max", Quantity(builder.rng.choice((0.8, 0.9, 1.0)), "1"))
    if builder.maybe():
        heater.add("power.rating", Quantity(WATTS[zone], "W"))
    elif builder.maybe():
        heater.add("heater.resistance", Quantity(OHMS[zone], "ohm"), "joined")
    if builder.maybe(0.3):
        heater.add("volts", Quantity(24.0, "V"))
    if zone == "chamber" and builder.maybe():
        heater.add("temp.target", Quantity(50.0, "°C"))


def _control(builder: Builder, heater: Part, zone: str) -> None:
    if zone == "chamber" and builder.maybe():
        heater.add("control.kind", builder.rng.choice(("on-off", "bang-bang", "two point")))
        return
    heater.add("control.kind", builder.rng.choice(("three-term pid", "tuned PID")))
    for letter, value in zip("pid", PIDS[zone], strict=True):
        heater.add(f"pid.{letter}", value)
    if builder.maybe(0.3):
        heater.add("pwm.frequency", Quantity(10.0 if zone == "bed" else 100.0, "Hz"))


def _guard(builder: Builder, heater: Part, zone: str, *, joined: bool) -> None:
    rise, time, band = GUARDS[zone]
    place = "joined" if joined else ""
    guard = heater if joined else builder.part("guard", zone)
    if joined:
        heater.kinds = (*heater.kinds, "guard")
    else:
        guard.add("ref.heater", Named((heater,)), "guard")
    guard.add("guard.rise", Quantity(rise, "°C"), place)
    guard.add("guard.time", Quantity(time, "s"), place)
    guard.add("guard.band", Quantity(band, "°C"), place)


def _fans(builder: Builder, chamber: bool) -> None:
    hot = builder.named_parts.get("heater hotend") or builder.named_parts["extruder"]
    part = _fan(builder, "part", builder.head)
    part.add("power.max", Quantity(builder.rng.choice((0.9, 1.0)), "1"), "fan")
    part.add("power.min", Quantity(0.15, "1"))
    part.add("pwm.frequency", Quantity(builder.rng.choice((100.0, 25000.0)), "Hz"))
    cold = _fan(builder, "cold", builder.head)
    cold.add("ref.heater", Named((hot,)), "fan")
    cold.add("temp.trigger", Quantity(builder.rng.choice((45.0, 50.0)), "°C"))
    if builder.maybe():
        cold.add("pin.tach", builder.pin(builder.head))
    if builder.maybe():
        _electronics_fan(builder)
    if chamber:
        _circulation(builder, builder.named_parts["heater chamber"])


def _fan(builder: Builder, label: str, board: str) -> Part:
    fan = builder.part("fan", label, board=board)
    fan.add("pin.fan", builder.pin(board))
    if builder.maybe(0.2):
        fan.add("pin.enable", builder.pin(board), "fan")
    if builder.maybe(0.2):
        fan.add("volts", Quantity(24.0, "V"))
    return fan


def _electronics_fan(builder: Builder) -> None:
    sensor = builder.part("sensor", "electronics")
    if builder.maybe():
        sensor.add("pin.sensor", builder.pin(analog=True))
        sensor.add("sensor.kind", builder.rng.choice(SENSORS))
    else:
        sensor.add("sensor.kind", "AHT20")
        sensor.add("bus.address", "0x38")
        sensor.add("bus.name", "i2c1", "i2c")
        sensor.add("bus.speed", Quantity(100000.0, "Hz"))
    sensor.add("temp.min", Quantity(0.0, "°C"))
    sensor.add("temp.max", Quantity(80.0, "°C"))
    fan = _fan(builder, "electronics", "main")
    fan.add("ref.sensor", Named((sensor,)), "fan")
    role = builder.rng.choice(("temp.target", "temp.trigger"))
    fan.add(role, Quantity(42.0, "°C"))


def _circulation(builder: Builder, heater: Part) -> None:
    fan = _fan(builder, "chamber", "main")
    if builder.maybe():
        heater.add("ref.fan", Named((fan,)), "heater")
    else:
        fan.add("ref.heater", Named((heater,)), "fan")
        fan.add("temp.trigger", Quantity(30.0, "°C"))
