"""Makers' names of signals, in the few kinds that a printer's wiring asks for.

A signal comes as the table has it: a driver (``tim``), its instance, a name (``ch1``) and, with some makers,
a number. What is of no use to a printer (cameras, memories, audio) is left out.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from typing import NamedTuple

from cfgaudit.machine.chips.chip import (
    ANALOG,
    CRYSTAL,
    DEBUG,
    HIGH_SPEED,
    I2C,
    PWM,
    SPI,
    SWD,
    UART,
    USB,
    Signal,
)


class Raw(NamedTuple):
    """A signal as the table has it; what is not given is empty."""

    driver: str
    instance: str
    name: str
    number: str


Reader = Callable[[Raw], Iterator[Signal]]

SPI_NAMES = {"sck": "SCK", "sclk": "SCK", "spck": "SCK", "miso": "MISO", "mosi": "MOSI", "nss": "NSS"}
I2C_NAMES = {"scl": "SCL", "sda": "SDA", "twck": "SCL", "twd": "SDA"}
UART_NAMES = {
    **dict.fromkeys(("tx", "txd", "utxd", "txlin"), "TX"),
    **dict.fromkeys(("rx", "rxd", "urxd", "rxlin"), "RX"),
}
SWD_NAMES = {"swdio": "SWDIO", "swclk": "SWCLK", "swdclk": "SWCLK"}
JTAG_NAMES = {
    **dict.fromkeys(("tms", "jtms"), "TMS"),
    **dict.fromkeys(("tck", "jtck"), "TCK"),
    **dict.fromkeys(("tdi", "jtdi"), "TDI"),
    **dict.fromkeys(("tdo", "jtdo"), "TDO"),
    **dict.fromkeys(("jtrst", "njtrst"), "TRST"),
}

_ANALOG = re.compile(r"(?:inp?|ain|adc|ad)?(\d*)([bmp]?)")
"""The inputs of single readings; what only the negative side of a difference can be is no such input."""
_CRYSTAL = re.compile(r"(?:osc(32)?_|xtal|x)(in|out|[12])(32)?")
_CHANNEL = re.compile(r"ch\d+n?|out")
_HIGH_RESOLUTION = re.compile(r"ch([a-f])([12])")
_COMPARE = re.compile(r"_?oc(\d?)([a-d])(?:inv)?")


def kinds_of(raw: Raw) -> Iterator[Signal]:
    """The signals, usually one or none, that a signal of the table is."""
    reader = READERS.get(raw.driver)
    return reader(raw) if reader is not None else iter(())


def _analog(raw: Raw) -> Iterator[Signal]:
    match = _ANALOG.fullmatch(raw.name)
    number = match[1] or raw.number if match else ""
    if match and number:
        yield Signal(ANALOG, f"ADC{raw.instance}", f"IN{number}{match[2].upper()}")


def _timer(raw: Raw) -> Iterator[Signal]:
    """A timer has one frequency for all its channels, but each channel its own share of on-time."""
    compare = _COMPARE.fullmatch(raw.name)
    if compare:
        yield Signal(PWM, f"TC{raw.instance or compare[1]}", f"OC{compare[2].upper()}")
    elif raw.driver == "tc" and raw.name in ("tioa", "tiob"):
        yield Signal(PWM, f"TC{raw.instance}.{raw.number}", raw.name.upper())
    elif raw.name == "wo":
        yield Signal(PWM, f"{raw.driver.upper()}{raw.instance}", f"WO{raw.number}")
    elif _CHANNEL.fullmatch(raw.name):
        yield Signal(PWM, f"{raw.driver.upper()}{raw.instance}", raw.name.upper())


def _high_resolution_timer(raw: Raw) -> Iterator[Signal]:
    """Each of its six timers has a frequency of its own."""
    match = _HIGH_RESOLUTION.fullmatch(raw.name)
    if match:
        yield Signal(PWM, f"HRTIM{raw.instance}.{match[1].upper()}", f"CH{match[2]}")


def _pulse_width(raw: Raw) -> Iterator[Signal]:
    """Each channel of this one has a frequency of its own."""
    if raw.name in ("pwmh", "pwml"):
        yield Signal(PWM, f"PWM{raw.instance}.{raw.number}", raw.name.removeprefix("pwm").upper())


def _named(kind: str, unit: str, names: Mapping[str, str]) -> Reader:
    def read(raw: Raw) -> Iterator[Signal]:
        name = raw.name.rstrip("0123456789")
        number = raw.instance or raw.name[len(name) :]
        if name in names:
            yield Signal(kind, f"{unit or raw.driver.upper()}{number}", names[name])

    return read


def _serial_unit(raw: Raw) -> Iterator[Signal]:
    """A unit that can be any bus; which of its four pads does what is set in it (from its data sheets)."""
    unit, pad = f"SERCOM{raw.instance}", raw.number
    for kind, roles in _PADS.get(pad, {}).items():
        yield from (Signal(kind, unit, role) for role in roles)


_PADS: Mapping[str, Mapping[str, tuple[str, ...]]] = {
    "0": {SPI: ("MISO", "MOSI"), I2C: ("SDA",), UART: ("TX", "RX")},
    "1": {SPI: ("MISO", "SCK"), I2C: ("SCL",), UART: ("RX",)},
    "2": {SPI: ("MISO", "MOSI"), UART: ("TX", "RX")},
    "3": {SPI: ("MISO", "MOSI", "SCK"), UART: ("RX",)},
}


def _debug(raw: Raw) -> Iterator[Signal]:
    if raw.name in SWD_NAMES:
        yield Signal(DEBUG, SWD, SWD_NAMES[raw.name])
    elif raw.name in JTAG_NAMES:
        yield Signal(DEBUG, "JTAG", JTAG_NAMES[raw.name])


def _usb(raw: Raw) -> Iterator[Signal]:
    if raw.name in ("dm", "dp"):
        yield Signal(USB, HIGH_SPEED if raw.driver == "usb_otg_hs" else "USB", raw.name.upper())


def _crystal(raw: Raw) -> Iterator[Signal]:
    match = _CRYSTAL.fullmatch(raw.name)
    if match:
        yield Signal(CRYSTAL, f"OSC{match[1] or match[3] or ''}", match[2].upper())


READERS: Mapping[str, Reader] = {
    **dict.fromkeys(("adc", "afec", "saadc", "sdadc"), _analog),
    **dict.fromkeys(("tim", "lptim", "tc", "tcc"), _timer),
    "hrtim": _high_resolution_timer,
    "pwm": _pulse_width,
    "spi": _named(SPI, "SPI", SPI_NAMES),
    **dict.fromkeys(("i2c", "fmpi2c", "twi", "twihs"), _named(I2C, "", I2C_NAMES)),
    **dict.fromkeys(("uart", "usart", "lpuart", "linuart"), _named(UART, "", UART_NAMES)),
    "sercom": _serial_unit,
    **dict.fromkeys(("sys", "debug", "ice", "jtag"), _debug),
    **dict.fromkeys(("rcc", "core", "sysctrl", "oscctrl", "osc32kctrl", "pmc"), _crystal),
    **dict.fromkeys(("usb", "usb_otg_fs", "usb_otg_hs"), _usb),
}
