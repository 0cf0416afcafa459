"""Chips out of the files of modm-devices, which are made of the vendors' own data.

The only module that imports that library.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from cfgaudit.machine.chips.chip import DEBUG, I2C, PWM, SPI, SWD, UART, Chip, Signal, Unknown
from cfgaudit.machine.chips.members import PartTable, chip_of
from cfgaudit.machine.chips.part_numbers import members, shown_part
from cfgaudit.machine.chips.signals import Raw, kinds_of

MOST_FILES = 6
"""A name that stands for parts in more files than these names no line of chips."""
ROUTED = frozenset({PWM, SPI, I2C, UART})
"""What chips with a matrix of signals lead to any pin (nRF52 product specification, "GPIO", from memory)."""

_BONDED = re.compile(r"P\d\.\d\d")
_NOT_THE_PINS = ("temperature", "grade", "speed", "core")
"""Letters of a part number on which neither pins nor signals depend."""
_LINE = ("platform", "family", "name", "type", "series")
"""What parts of the same silicon have in common, if they also stand in one file."""
_NEWER_SAM = re.compile(r"[dl]\d\d|e5\d|da1")
_NEWER_SAM_DEBUG = {"PA30": Signal(DEBUG, SWD, "SWCLK"), "PA31": Signal(DEBUG, SWD, "SWDIO")}
"""Missing in the files: SAM D2x, D5x, E5x and L2x data sheets, "Multiplexed Signals", from memory."""
_MEMORY_PORT = "qspi"
"""Lines to the program's memory, which a board has no use for."""


def read_chip(folder: Path, folded: str, source: str) -> Chip | Unknown:
    """The chip that a folded part number names, from the library in ``folder``."""
    shown = shown_part(folded)
    catalogue = _catalogue(folder)
    wanted = set(members(folded, catalogue))
    files = sorted({catalogue[part] for part in wanted})
    if not files:
        return Unknown(shown, f"the table of chips has no {shown}")
    if len(files) > MOST_FILES:
        return Unknown(shown, f"{shown} stands for too many chips: give more of the part number")
    parts: list[PartTable] = []
    die: set[str] = set()
    for file in files:
        device_file = _parse(folder / "resources" / "devices" / file)
        own = [one for one in device_file.get_devices() if one.partname in wanted]
        parts += [_table(device_file, one) for one in _one_of_each(own, without=_NOT_THE_PINS)]
        die.update(_die(device_file, own))
    if not any(parts):
        return Unknown(shown, f"the table of chips has no pins of {shown}")
    anywhere = ROUTED if folded.startswith("nrf") else frozenset[str]()
    return chip_of(shown, parts, die, anywhere=anywhere, source=source)


def _catalogue(folder: Path) -> Mapping[str, str]:
    """Every part with the file that describes it."""
    text = (folder / "resources" / "devices" / "db.json").read_text("utf-8")
    return {part: file for group in json.loads(text).values() for part, file in group.items()}


def _parse(path: Path) -> Any:
    from modm_devices.parser import DeviceParser  # type: ignore[import-untyped, import-not-found, unused-ignore]

    return DeviceParser().parse(str(path))


def _die(device_file: Any, own: Sequence[Any]) -> Iterator[str]:
    """The pins that any package of the same silicon brings out."""
    lines = {_line(one) for one in own}
    same = [one for one in device_file.get_devices() if _line(one) in lines]
    for device in _one_of_each(same, without=(*_NOT_THE_PINS, "size", "flash")):
        yield from _table(device_file, device)


def _line(device: Any) -> tuple[str, ...]:
    return tuple(device.identifier.get(key) or "" for key in _LINE)


def _one_of_each(devices: Iterable[Any], *, without: Sequence[str]) -> list[Any]:
    """One device of all that differ in nothing else."""
    found: dict[tuple[str, ...], Any] = {}
    for device in devices:
        identifier = device.identifier
        kept = [key for key in list(identifier.keys()) if key not in without]
        found.setdefault(tuple(str(identifier.get(key)) for key in kept), device)
    return list(found.values())


def _table(device_file: Any, device: Any) -> PartTable:
    identifier = device.identifier
    drivers = device_file.get_properties(identifier).get("driver", ())
    gpio: Mapping[str, Any] = next((one for one in drivers if one["name"] == "gpio"), {})
    moved = _moved(gpio.get("remap", ()))
    pins = {
        _pin_name(pin): frozenset((*_signals(pin), *moved.get(_pin_name(pin), ())))
        for pin in gpio.get("gpio", ())
        if pin["port"] != _MEMORY_PORT
    }
    if identifier.get("platform") == "nrf":
        pins = _bonded(pins, gpio.get("package"))
    if _NEWER_SAM.match(identifier.get("series") or ""):
        pins |= {pin: pins[pin] | {one} for pin, one in _NEWER_SAM_DEBUG.items() if pin in pins}
    return pins


def _moved(remaps: Iterable[Mapping[str, Any]]) -> Mapping[str, list[Signal]]:
    """The signals that a chip moves in groups from some pins to others, at every pin that they may be at."""
    found: dict[str, list[Signal]] = {}
    for remap in remaps:
        for one in (signal for group in remap["group"] for signal in group.get("signal", ())):
            raw = Raw(remap["driver"], remap.get("instance", ""), one["name"], "")
            found.setdefault(_pin_name(one), []).extend(kinds_of(raw))
    return found


def _bonded(pins: PartTable, packages: Sequence[Mapping[str, Any]] | None) -> dict[str, frozenset[Signal]]:
    """The pins that are among the names of the package's, without what can be led to every pin."""
    names = " ".join(pin["name"] for pin in packages[0]["pin"]) if packages else " ".join(pins)
    bonded = set(_BONDED.findall(names))
    return {
        pin: frozenset(one for one in signals if one.kind not in ROUTED)
        for pin, signals in pins.items()
        if pin in bonded
    }


def _pin_name(pin: Mapping[str, str]) -> str:
    """As the maker writes it: a port's letter and a number, or its number and two digits behind a dot."""
    port, number = pin["port"], int(pin["pin"])
    if port.isdigit():
        return f"P{port}.{number:02}"
    return f"GPIO{number}" if port == "bank0" else f"P{port.upper()}{number}"


def _signals(pin: Mapping[str, Any]) -> Iterator[Signal]:
    for one in pin.get("signal", ()):
        raw = Raw(*(one.get(key, "") for key in ("driver", "instance", "name", "index")))
        yield from _of_rp(raw, int(pin["pin"])) if pin["port"] == "bank0" else kinds_of(raw)


def _of_rp(raw: Raw, number: int) -> Iterator[Signal]:
    """The RP2040's pins: its data sheet names signals and numbers pulse-width slices in its own way.

    "GPIO Functions" and "PWM": pins share the slices in pairs, over and over (from memory). Its debug port
    has pins of its own, so what the files call JTAG is none that a board could miss.
    """
    names = {"tx": "mosi", "rx": "miso"} if raw.driver == "spi" else {}
    if raw.driver == "pwm":
        yield Signal(PWM, f"PWM{number // 2 % 8}", raw.name.upper())
    elif raw.driver != "jtag":
        yield from kinds_of(raw._replace(name=names.get(raw.name, raw.name)))
