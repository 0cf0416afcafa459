"""What all parts of a name share: invented parts of an invented chip."""

from __future__ import annotations

from cfgaudit.machine.chips.chip import ANALOG, PWM, USB, Reach, Signal
from cfgaudit.machine.chips.members import chip_of

READ, PULSE, OTHER_PULSE = (
    Signal(ANALOG, "ADC1", "IN0"),
    Signal(PWM, "TIM1", "CH1"),
    Signal(PWM, "TIM2", "CH1"),
)
SMALL = {"PA0": frozenset({READ, PULSE}), "PA2": frozenset[Signal]()}
LARGE = {"PA0": frozenset({READ, OTHER_PULSE}), "PA2": frozenset[Signal](), "PA10": frozenset({READ})}


def test_one_part_has_what_it_has() -> None:
    chip = chip_of("XY1", [SMALL], {"PA0", "PA2", "PA10"})
    assert [(pin.name, pin.reach, pin.signals) for pin in chip.pins.values()] == [
        ("PA0", Reach.EVERY, (READ, PULSE)),
        ("PA2", Reach.EVERY, ()),
        ("PA10", Reach.NONE, ()),
    ]


def test_several_parts_share_what_each_of_them_has() -> None:
    chip = chip_of("XY", [SMALL, LARGE], ())
    first, second, third = chip.pins.values()
    assert (first.signals, first.sometimes) == ((READ,), (PULSE, OTHER_PULSE))
    assert (second.reach, third.reach) == (Reach.EVERY, Reach.SOME)
    assert third.signals == (READ,)


def test_what_a_table_does_not_know_is_no_knowledge() -> None:
    chip = chip_of("XY1", [SMALL], ())
    assert chip.knows(ANALOG)
    assert not chip.knows(USB)
    assert chip_of("XY1", [{"PA0": frozenset()}], (), anywhere=frozenset({PWM})).knows(PWM)


def test_pins_of_numbered_ports_have_the_keys_of_the_pin_grammar() -> None:
    chip = chip_of("XY2", [{"P0.03": frozenset(), "P1.10": frozenset()}], ())
    assert list(chip.pins) == ["P0_3", "P1_10"]


def test_usb_is_the_full_speed_pair_where_there_are_two() -> None:
    def line(unit: str, name: str) -> frozenset[Signal]:
        return frozenset({Signal(USB, unit, name)})

    high = {"PB14": line("USB_HS", "DM"), "PB15": line("USB_HS", "DP")}
    full = {"PA11": line("USB", "DM"), "PA12": line("USB", "DP")}
    assert chip_of("XY1", [{**high, **full}], ()).usb_pins() == ("PA11", "PA12")
    assert chip_of("XY1", [high], ()).usb_pins() == ("PB14", "PB15")
    assert chip_of("XY1", [SMALL], ()).usb_pins() == ()
