"""Motion of an invented machine: axes, motors, drivers, endstops, shapers."""

from __future__ import annotations

from vocabulary.invented_parts import Builder, Named, Part, Quantity, Span

LENGTHS = (180.0, 235.0, 300.0, 420.0)
ENDS = (("min", "max"), ("low", "high"), ("negative", "positive"), ("start", "end"))


def add_motion(builder: Builder) -> None:
    limits = _motion(builder)
    shared_travel = builder.joined == "separate" and builder.maybe(0.3)
    for letter in "xyz":
        axis = _axis(builder, letter, limits if shared_travel else None)
        _turn(builder, axis, letter)
        _endstop(builder, axis, letter)
    _shapers(builder)


def _motion(builder: Builder) -> Part:
    rng, part = builder.rng, builder.part("motion")
    part.add("kinematics", rng.choice(("cartesian", "corexy", "CoreXY", "cross gantry")))
    part.add("speed.max", Quantity(rng.choice((200.0, 300.0, 350.0)), "mm/s"))
    part.add("accel.max", Quantity(rng.choice((2000.0, 3000.0, 4500.0)), "mm/s²"))
    part.add("speed.corner", Quantity(rng.choice((5.0, 6.0, 8.0)), "mm/s"))
    return part


def _axis(builder: Builder, letter: str, limits: Part | None) -> Part:
    rng = builder.rng
    axis = builder.part("axis", letter)
    low, high = rng.choice((0.0, 0.0, -4.0)), rng.choice(LENGTHS)
    holder, spoken = (axis, "") if limits is None else (limits, letter)
    if builder.maybe(0.25):
        holder.add("travel.max", Span(((low, high),), "range", "mm"), "range", spoken)
    else:
        holder.add("travel.min", Quantity(low, "mm"), axis=spoken)
        holder.add("travel.max", Quantity(high, "mm"), axis=spoken)
    ends = rng.choice(ENDS)
    at_low = builder.maybe(0.7)
    axis.add("home.direction", ends[0 if at_low else 1])
    axis.add("home.position", Quantity(low if at_low else high, "mm"))
    axis.add("home.speed", Quantity(8.0 if letter == "z" else rng.choice((30.0, 40.0, 50.0)), "mm/s"))
    axis.add("home.retract", Quantity(rng.choice((3.0, 5.0)), "mm"))
    axis.add("speed.max", Quantity(12.0 if letter == "z" else 200.0, "mm/s"))
    axis.add("accel.max", Quantity(150.0 if letter == "z" else 2000.0, "mm/s²"))
    return axis


def _turn(builder: Builder, axis: Part, letter: str) -> None:
    """The motor or motors of an axis with their drivers."""
    if builder.joined != "separate":
        axis.kinds = ("axis", "motor")
        _motor(builder, axis, letter)
        _driver(builder, axis, axis)
        return
    labels = ("z1", "z2", "z3") if letter == "z" and builder.maybe(0.5) else (letter,)
    motors = [builder.part("motor", label) for label in labels]
    for motor in motors:
        _motor(builder, motor, letter)
        if len(motors) > 1 or builder.maybe():
            motor.add("ref.axis", Named((axis,)), "motor")
        _driver(builder, motor, motor)
    if builder.maybe(0.4):
        axis.add("ref.motor", Named(tuple(motors)), "axis")


def _motor(builder: Builder, part: Part, letter: str) -> None:
    part.add("pin.step", builder.pin(part.board))
    part.add("pin.direction", builder.pin(part.board))
    part.add("pin.enable", builder.pin(part.board))
    part.add("steps.full", "200")
    part.add("steps.micro", "16")
    screw = letter == "z"
    part.add("travel.turn", Quantity(8.0 if screw else 40.0, "mm"))
    if letter == "e" or (screw and builder.joined != "separate"):
        part.add("gear.ratio", "50:17" if letter == "e" else "3:1")


def _driver(builder: Builder, motor: Part, holder: Part) -> None:
    """The driver of a motor: a section of its own, or settings of the motor's section."""
    place = "joined"
    if builder.joined != "all joined":
        holder = builder.part("driver", motor.label or "e", board=motor.board)
        holder.add("ref.motor", Named((motor,)), "driver")
        place = ""
        if builder.maybe(0.4):
            holder.add("pin.other", builder.pin(motor.board), "driver")
    else:
        holder.kinds = (*holder.kinds, "driver")
    holder.add("driver.model", "TMC2209", place)
    holder.add("pin.uart", builder.pin(motor.board))
    holder.add("driver.address", "0", place)
    holder.add("current.run", Quantity(0.7 if motor.label in "xy" else 0.8, "A"))
    holder.add("current.hold", Quantity(0.5, "A"))
    holder.add("sense.resistance", Quantity(0.11, "ohm"))


def _endstop(builder: Builder, axis: Part, letter: str) -> None:
    if builder.joined == "separate" or builder.maybe(0.3):
        stop = builder.part("endstop", letter)
        stop.add("pin.endstop", builder.pin())
        stop.add("ref.axis", Named((axis,)), "endstop")
        if builder.maybe():
            stop.add("debounce", Quantity(0.02, "s"))
    else:
        axis.add("pin.endstop", builder.pin(), "joined")
        axis.kinds = (*axis.kinds, "endstop")


def _shapers(builder: Builder) -> None:
    rng = builder.rng
    form = rng.choice(("shared", "each", "joined"))
    shared = builder.part("shaper") if form == "shared" else None
    for letter in "xy":
        axis = builder.named_parts[f"axis {letter}"]
        if form == "each":
            holder = builder.part("shaper", letter)
            if builder.maybe():
                holder.add("ref.axis", Named((axis,)), "shaper")
        else:
            holder = shared or axis
        place, spoken = ("joined", "") if holder is axis else ("", letter if shared else "")
        if holder is axis:
            axis.kinds = (*axis.kinds, "shaper")
        holder.add("shaper.kind", rng.choice(("mzv", "zv", "ei", "zvd", "MZV")), place, spoken)
        holder.add("shaper.frequency", Quantity(rng.choice((48.0, 55.5, 62.0)), "Hz"), place, spoken)
        holder.add("shaper.damping", "0.1", place if place else "", spoken)


def add_extruder_motor(builder: Builder, part: Part) -> None:
    """The motor of an extruder, with its driver."""
    _motor(builder, part, "e")
    _driver(builder, part, part)
