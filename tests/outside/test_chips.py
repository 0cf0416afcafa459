"""The tables of chips against the vendors' data sheets, and the samples' boards pin by pin.

All figures are from memory of the chapters on pin-outs and alternate functions: of STMicroelectronics' data
sheets (STM32F405/407, F103x8/xB, F103xC/D/E, F446, F411, L476, G0B1, F072), of Microchip's (ATmega328P,
ATmega1284P, ATmega2560, ATmega32U4, SAM D21, SAM E70), of the RP2040 data sheet, and of Nordic's product
specification of the nRF52840.
"""

from __future__ import annotations

import re
from functools import cache

import pytest
from chip_library import LIBRARY, needs_tables

from cfgaudit.audit import Audit, audit
from cfgaudit.checks.run import raise_fault
from cfgaudit.data import data_folder
from cfgaudit.machine.chips.chip import ANALOG, I2C, PWM, SPI, UART, Chip, Reach
from cfgaudit.machine.free_pins import FreePins, free_pins
from cfgaudit.project import Project
from cfgaudit.source import Memory

pytestmark = needs_tables


def ports(text: str) -> set[str]:
    """``PA0-3 PB1`` as single pins."""
    found: set[str] = set()
    for word in text.split():
        match = re.fullmatch(r"(.*?)(\d+)(?:-(\d+))?", word)
        assert match is not None
        first, last = int(match[2]), int(match[3] or match[2])
        width = len(match[2]) if "." in word else 1
        found |= {f"{match[1]}{number:0{width}}" for number in range(first, last + 1)}
    return found


@cache
def chip(name: str) -> Chip:
    found = LIBRARY.find(name)
    assert isinstance(found, Chip), found
    return found


def brought_out(name: str) -> set[str]:
    return {pin.name for pin in chip(name).pins.values() if pin.reach is Reach.EVERY}


def able(name: str, kind: str) -> set[str]:
    return {pin.name for pin in chip(name).pins.values() if any(pin.surely(kind))}


PINS = {
    "STM32F407VGT6": 82,
    "STM32F407ZGT6": 114,
    "STM32F103C8T6": 37,
    "STM32F103RCT6": 51,
    "STM32F103ZET6": 112,
    "STM32F446RET6": 50,
    "STM32F411CEU6": 36,
    "STM32L476RGT6": 51,
    "STM32G0B1RET6": 60,
    "STM32F072CBT6": 37,
    "ATmega328P": 23,
    "ATmega1284P": 32,
    "ATmega2560-16AU": 86,
    "ATmega32U4": 26,
    "SAMD21G18A-AU": 38,
    "SAME70Q20B": 114,
    "RP2040": 30,
    "nRF52840-QIAA": 48,
}
ANALOGUE = {
    "STM32F407VGT6": "PA0-7 PB0-1 PC0-5",
    "STM32F407ZGT6": "PA0-7 PB0-1 PC0-5 PF3-10",
    "STM32F103C8T6": "PA0-7 PB0-1",
    "STM32F103RCT6": "PA0-7 PB0-1 PC0-5",
    "STM32F103ZET6": "PA0-7 PB0-1 PC0-5 PF6-10",
    "STM32F446RET6": "PA0-7 PB0-1 PC0-5",
    "STM32F411CEU6": "PA0-7 PB0-1",
    "STM32L476RGT6": "PA0-7 PB0-1 PC0-5",
    "STM32G0B1RET6": "PA0-7 PB0-2 PB10-12 PC4-5",
    "STM32F072CBT6": "PA0-7 PB0-1",
    "ATmega328P": "PC0-5",  # two more inputs have no port
    "ATmega1284P": "PA0-7",
    "ATmega2560-16AU": "PF0-7 PK0-7",
    "ATmega32U4": "PF0-1 PF4-7 PD4 PD6-7 PB4-6",
    "SAMD21G18A-AU": "PA2-11 PB2-3 PB8-9",
    "RP2040": "GPIO26-29",
    "nRF52840-QIAA": "P0.02-05 P0.28-31",
}
TIMERS = {
    "STM32F407VGT6": """
        PA0: TIM2 CH1, TIM5 CH1
        PA8: TIM1 CH1
        PB0: TIM3 CH3, TIM1 CH2N, TIM8 CH2N
        PC8: TIM3 CH3, TIM8 CH3
        PD12: TIM4 CH1
        PE5: TIM9 CH1
        PE9: TIM1 CH1
        PE2:
    """,
    "STM32F103C8T6": """
        PA0: TIM2 CH1
        PA6: TIM3 CH1
        PA8: TIM1 CH1
        PB6: TIM4 CH1
        PB3: TIM2 CH2
        PB10: TIM2 CH3
        PC13:
    """,
    "STM32F446RET6": """
        PA1: TIM2 CH2, TIM5 CH2
        PB14: TIM1 CH2N, TIM8 CH2N, TIM12 CH1
    """,
    "STM32L476RGT6": """
        PB8: TIM4 CH3, TIM16 CH1
    """,
    "ATmega328P": """
        PD6: TC0 OCA
        PD5: TC0 OCB
        PB1: TC1 OCA
        PB2: TC1 OCB
        PB3: TC2 OCA
        PD3: TC2 OCB
        PC0:
    """,
    "ATmega1284P": """
        PB3: TC0 OCA
        PB4: TC0 OCB
        PD5: TC1 OCA
        PD4: TC1 OCB
        PD7: TC2 OCA
        PD6: TC2 OCB
        PB6: TC3 OCA
        PB7: TC3 OCB
    """,
    "ATmega2560": """
        PB7: TC0 OCA, TC1 OCC
        PG5: TC0 OCB
        PB5: TC1 OCA
        PB6: TC1 OCB
        PB4: TC2 OCA
        PH6: TC2 OCB
        PE3: TC3 OCA
        PE4: TC3 OCB
        PE5: TC3 OCC
        PH3: TC4 OCA
        PH4: TC4 OCB
        PH5: TC4 OCC
        PL3: TC5 OCA
        PL4: TC5 OCB
        PL5: TC5 OCC
        PA0:
    """,
    "RP2040": """
        GPIO0: PWM0 A
        GPIO1: PWM0 B
        GPIO15: PWM7 B
        GPIO16: PWM0 A
        GPIO25: PWM4 B
        GPIO29: PWM6 B
    """,
    "SAMD21G18A-AU": """
        PA8: TCC0 WO0, TCC1 WO2
        PA18: TC3 WO0, TCC0 WO2
        PA22: TC4 WO0, TCC0 WO4
    """,
}
BUSES = {
    "STM32F407VGT6": {
        SPI: [
            "SPI1 SCK PA5",
            "SPI1 MISO PA6",
            "SPI1 MOSI PA7",
            "SPI1 SCK PB3",
            "SPI2 SCK PB13",
            "SPI3 SCK PC10",
        ],
        I2C: [
            "I2C1 SCL PB6",
            "I2C1 SDA PB7",
            "I2C1 SCL PB8",
            "I2C1 SDA PB9",
            "I2C2 SCL PB10",
            "I2C2 SDA PB11",
        ],
        UART: ["USART1 TX PA9", "USART1 RX PA10", "USART2 TX PA2", "USART2 RX PA3", "USART6 TX PC6"],
    },
    "STM32F103C8T6": {
        SPI: ["SPI1 SCK PA5", "SPI1 SCK PB3", "SPI2 MISO PB14"],
        I2C: ["I2C1 SCL PB6", "I2C1 SDA PB9"],
        UART: ["USART1 TX PA9", "USART1 TX PB6", "USART3 RX PB11"],
    },
    "ATmega2560": {
        SPI: ["SPI SCK PB1", "SPI MOSI PB2", "SPI MISO PB3"],
        I2C: ["TWI SCL PD0", "TWI SDA PD1"],
        UART: ["USART0 RX PE0", "USART0 TX PE1", "USART3 TX PJ1"],
    },
    "RP2040": {
        SPI: ["SPI0 MISO GPIO0", "SPI0 SCK GPIO2", "SPI0 MOSI GPIO3", "SPI1 SCK GPIO10"],
        I2C: ["I2C0 SDA GPIO0", "I2C0 SCL GPIO1", "I2C1 SDA GPIO26"],
        UART: ["UART0 TX GPIO0", "UART1 RX GPIO5"],
    },
}


@pytest.mark.parametrize("name", PINS)
def test_a_package_brings_out_as_many_pins_as_its_data_sheet_counts(name: str) -> None:
    assert len(brought_out(name)) == PINS[name]


@pytest.mark.parametrize("name", ANALOGUE)
def test_the_pins_that_lead_to_a_converter(name: str) -> None:
    assert able(name, ANALOG) == ports(ANALOGUE[name])


def test_the_converters_of_the_e70_have_11_and_12_inputs_on_pins() -> None:
    units = [one.unit for pin in chip("SAME70Q20B").pins.values() for one in pin.surely(ANALOG)]
    assert (units.count("ADC0"), units.count("ADC1")) == (11, 12)


@pytest.mark.parametrize("name", TIMERS)
def test_the_timers_channels(name: str) -> None:
    for line in TIMERS[name].strip().splitlines():
        pin, _, channels = line.strip().partition(":")
        found = {str(one) for one in chip(name).pins[pin].surely(PWM) if not one.unit.startswith("LPTIM")}
        assert (pin, found) == (pin, {one.strip() for one in channels.split(",") if one.strip()})


def test_all_timers_of_the_2560_are_on_15_pins() -> None:
    assert len(able("ATmega2560", PWM)) == 15


@pytest.mark.parametrize("name", BUSES)
def test_the_lines_of_buses(name: str) -> None:
    for kind, lines in BUSES[name].items():
        found = {
            f"{one.unit} {one.name} {pin.name}"
            for pin in chip(name).pins.values()
            for one in pin.surely(kind)
        }
        assert set(lines) <= found


@pytest.mark.parametrize(
    ("name", "usb", "debug"),
    [
        ("STM32F407VGT6", "PA11-12", "PA13-14"),
        ("STM32F103C8T6", "PA11-12", "PA13-14"),
        ("STM32G0B1RET6", "PA11-12", "PA13-14"),
        ("SAMD21G18A-AU", "PA24-25", "PA30-31"),
        ("SAME70Q20B", "", "PB6-7"),  # USB has pins of its own
        ("RP2040", "", ""),  # so have both here
        ("ATmega2560", "", ""),
    ],
)
def test_usb_and_the_debug_port(name: str, usb: str, debug: str) -> None:
    assert set(chip(name).usb_pins()) == ports(usb)
    assert set(chip(name).debug_pins()) == ports(debug)


def test_a_family_shares_what_all_its_members_have() -> None:
    shared = brought_out("STM32F407")
    assert shared == brought_out("STM32F407VGT6")  # the smallest package has 100 pins
    assert chip("STM32F407").pins["PF3"].reach is Reach.SOME
    assert "PI12" not in chip("STM32F407").pins  # no package goes beyond PI11


def test_what_the_small_package_leaves_inside() -> None:
    assert chip("STM32F407VGT6").pins["PF3"].reach is Reach.NONE
    assert chip("STM32F103C8T6").pins["PC6"].reach is Reach.NONE
    assert "PF0" not in chip("STM32F103C8T6").pins  # port F is on the larger chips of the family only


# -- the samples' boards


@cache
def audited(machine: str) -> Audit:
    """A sample as it is; the upgrade over what it changes."""
    files: dict[str, bytes] = {}
    for name in ("heron/base", machine) if machine == "heron/upgrade" else (machine,):
        folder = data_folder("samples") / name
        for path in sorted(folder.rglob("*.[ic]*")):
            files[path.relative_to(folder).as_posix()] = path.read_bytes()
    main = "gannet.conf" if machine == "gannet" else "heron.ini"
    return audit(Memory(files), main, Project(), library=LIBRARY, on_fault=raise_fault)


HERON = {
    "main": (
        "PA1 PA4-8 PB0-1 PB8-10 PB12-13 PC0-2 PC5-12 PD0-1 PD3 PD5-12 PE0-8 PE10 PE12 PE15",
        "PC0-2",
        "PA8 PB0 PD12 PE5 PA1",
    ),
    "toolhead": (
        "GPIO0-3 GPIO7 GPIO9-10 GPIO12-14 GPIO16-19 GPIO21 GPIO26-27",
        "GPIO26-27",
        "GPIO7 GPIO13-14",
    ),
}
"""By board: the pins that Heron's files use (read off them by hand), those with a thermistor or a platinum
sensor, and those whose power is set in shares."""


@pytest.mark.parametrize("board", HERON)
def test_every_pin_of_heron_can_do_its_job(board: str) -> None:
    machine = audited("heron/base").machine
    found = machine.chips[board].chip
    assert isinstance(found, Chip)
    used, read, pulsed = map(ports, HERON[board])
    assert {found.pins[key].name for key in machine.pins[board]} == used
    assert used <= {pin.name for pin in found.pins.values() if pin.reach is Reach.EVERY}
    assert read <= able(found.name, ANALOG)
    assert pulsed <= able(found.name, PWM)


def free(board: str) -> FreePins:
    return next(one for one in free_pins(audited("heron/base").machine) if one.board.board == board)


def names(board: str, kind: str) -> set[str]:
    return {pin.name for pin in free(board).pins if any(pin.surely(kind))}


def test_heron_has_five_analogue_pins_left_on_the_main_board_and_two_on_the_toolhead() -> None:
    """The converter's pins by the data sheets, less those that the files use."""
    assert names("main", ANALOG) == ports("PA0-7 PB0-1 PC0-5") - ports("PA1 PA4-7 PB0-1 PC0-2 PC5")
    assert names("main", ANALOG) == ports("PA0 PA2-3 PC3-4")
    assert names("toolhead", ANALOG) == ports("GPIO28-29")


def test_what_heron_should_leave_alone() -> None:
    kept = {(pin.name, purpose) for pin, purpose in free("main").kept}
    assert {name for name, purpose in kept if purpose == "USB"} == ports("PA11-12")
    assert {name for name, purpose in kept if purpose == "debug port"} == ports("PA13-14")
    assert {name for name, purpose in kept if purpose == "crystal"} == ports("PC14-15 PH0-1")


def test_the_pins_add_up() -> None:
    for one in free_pins(audited("heron/base").machine):
        used = audited("heron/base").machine.pins[one.board.board]
        assert len(used) + len(one.pins) + len(one.kept) == len(brought_out(one.chip.name))
        assert one.unplaced == ()


@pytest.mark.parametrize("machine", ["heron/base", "gannet"])
def test_a_correct_machine_gets_no_finding_from_the_tables(machine: str) -> None:
    assert [one.message for one in audited(machine).findings.findings] == []


def test_no_fault_of_a_chip_was_planted_in_the_upgrade() -> None:
    rules = ("pin-not-on-chip", "pin-not-bonded", "pin-not-analog", "pin-debug-or-usb", "pin-timer-clash")
    found = [one for one in audited("heron/upgrade").findings.findings if one.rule in rules]
    assert [one.message for one in found] == []
    assert audited("heron/upgrade").machine.chips["filter"].known is not None


def test_a_chip_outside_the_tables_is_said_not_guessed() -> None:
    skipped = {one.reason for one in audited("gannet").findings.skipped if one.rule == "pin-not-on-chip"}
    assert skipped == {"board only: the table of chips has no LPC1768"}
    assert list(free_pins(audited("gannet").machine)) == []
