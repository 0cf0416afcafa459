"""The rest of an invented machine: boards, supply, probing, filament watch, outputs, macros."""

from __future__ import annotations

from vocabulary.invented_parts import Builder, Named, Part, PinAt, Quantity, Span

PARK = "G91\nG1 Z5 F600\nG90\nG1 X10 Y10 F6000"
WIPE = "G28\nG1 Z10 F600\nG4 P500\nG1 X40 Y40 F3000"


def add_boards(builder: Builder) -> None:
    rng = builder.rng
    main = builder.part("board", "main")
    main.add("board.chip", builder.chips["main"])
    main.add("board.link", "/dev/serial/by-id/usb-main-4711")
    main.add("board.bitrate", Quantity(250000.0, "bit/s"))
    if builder.maybe():
        main.add("board.steprate", "200000")
    if builder.has_head_board:
        head = builder.part("board", "head")
        head.add("board.chip", builder.chips["head"])
        head.add("board.link", "can0", "can")
        head.add("board.address", rng.choice(("0x21", "33", "a1b2c3d4e5f6")))
        head.add("board.bitrate", Quantity(rng.choice((250000.0, 500000.0, 1000000.0)), "bit/s"), "can")
    supply = builder.part("supply")
    supply.add("volts", Quantity(24.0, "V"), "supply")
    supply.add("power.rating", Quantity(600.0, "W"), "supply")


def add_probing(builder: Builder) -> None:
    rng = builder.rng
    probe = builder.part("probe", board=builder.head)
    probe.add("pin.probe", builder.pin(builder.head))
    shift = (-25.0, 10.0, 2.5)
    if builder.maybe():
        probe.add("offset", Span((shift,), "list", "mm"))
    else:
        for letter, amount in zip("xyz", shift, strict=True):
            probe.add("offset", Quantity(amount, "mm"), "axis", letter)
    probe.add("probe.samples", rng.choice(("2", "3")))
    probe.add("probe.tolerance", Quantity(rng.choice((0.01, 0.02)), "mm"))
    probe.add("probe.speed", Quantity(rng.choice((3.0, 5.0)), "mm/s"))
    if builder.maybe(0.3):
        probe.add("debounce", Quantity(0.01, "s"))
    if builder.maybe():
        _servo(builder, probe)
    _mesh(builder, probe)
    _level(builder, probe)


def _servo(builder: Builder, probe: Part) -> None:
    servo = builder.part("servo")
    servo.add("pin.servo", builder.pin())
    servo.add("pulse.min", Quantity(0.0006, "s"))
    servo.add("pulse.max", Quantity(0.0024, "s"))
    servo.add("angle.max", Quantity(180.0, "deg"))
    servo.add("angle.start", Quantity(90.0, "deg"))
    if builder.maybe():
        servo.add("pwm.frequency", Quantity(50.0, "Hz"), "servo")
    macro = builder.part("macro", "lower probe")
    macro.add("macro.body", PARK)
    probe.add("ref.macro", Named((macro,)), "probe")


def _mesh(builder: Builder, probe: Part) -> None:
    mesh = builder.part("mesh")
    mesh.add("mesh.low", Span(((40.0, 40.0),), "list", "mm"))
    mesh.add("mesh.high", Span(((135.0, 135.0),), "list", "mm"))
    mesh.add("mesh.count", Span(((5.0, 5.0),), builder.rng.choice(("list", "cross"))))
    if builder.maybe():
        mesh.add("ref.probe", Named((probe,)))


def _level(builder: Builder, probe: Part) -> None:
    level = builder.part("level")
    motors = tuple(part for part in builder.parts if part.word == "motor" and part.label.startswith("z"))
    if len(motors) == 3:
        level.add("ref.motor", Named(motors), "level")
    level.add("level.points", Span(((45.0, 45.0), (130.0, 45.0), (90.0, 130.0)), "rows"))
    level.add("level.pivots", Span(((-20.0, 10.0), (200.0, 10.0), (90.0, 210.0)), "rows"))
    if builder.maybe():
        level.add("ref.probe", Named((probe,)))


def add_rest(builder: Builder) -> None:
    _filament(builder)
    _accelerometer(builder)
    _display(builder)
    _outputs(builder)
    wipe = builder.part("macro", "wipe nozzle")
    wipe.add("macro.body", WIPE)


def _filament(builder: Builder) -> None:
    pause = builder.part("macro", "pause print")
    pause.add("macro.body", PARK)
    filament = builder.part("filament", board=builder.head)
    filament.add("pin.filament", builder.pin(builder.head))
    filament.add("ref.macro", Named((pause,)), "filament")
    if builder.maybe():
        filament.add("debounce", Quantity(0.05, "s"))


def _accelerometer(builder: Builder) -> None:
    board = builder.head
    part = builder.part("accelerometer", board=board)
    part.add("pin.select", builder.pin(board))
    if builder.maybe():
        part.add("bus.name", "spi1", "spi")
    else:
        part.add("pin.clock", builder.pin(board))
        part.add("pin.data_in", builder.pin(board))
        part.add("pin.data_out", builder.pin(board))
    part.add("bus.speed", Quantity(4000000.0, "Hz"), "spi")
    if builder.maybe():
        axis = builder.named_parts[f"axis {builder.rng.choice('xy')}"]
        part.add("ref.axis", Named((axis,)), "accelerometer")
    shapers = [one for one in builder.parts if one.word == "shaper"]
    if shapers and builder.maybe():
        shapers[0].add("ref.accelerometer", Named((part,)), "shaper")


def _display(builder: Builder) -> None:
    display = builder.part("display")
    if builder.maybe():
        display.add("bus.name", "i2c2", "i2c")
        display.add("bus.address", "0x3C")
        display.add("bus.speed", Quantity(400000.0, "Hz"))
    else:
        display.add("pin.select", builder.pin())
        display.add("pin.clock", builder.pin())
        display.add("pin.data_out", builder.pin())
    display.add("pin.other", builder.pin(), "display")


def _outputs(builder: Builder) -> None:
    light = builder.part("light")
    light.add("pin.light", builder.pin())
    light.add("power.max", Quantity(0.8, "1"), "light")
    extra = builder.part("output", "extra")
    extra.add("pin.output", builder.pin())
    if builder.maybe():
        extra.add("pwm.frequency", Quantity(200.0, "Hz"))
    if builder.maybe():
        extra.add("power.max", Quantity(0.9, "1"))


def alias_pins(builder: Builder) -> list[PinAt]:
    """Pins of single parts on the main board that a builder gives names of their own."""
    named = [
        want.says
        for part in builder.parts
        for want in part.wants
        if isinstance(want.says, PinAt) and want.says.board == "main"
    ]
    return builder.rng.sample(named, 5)
