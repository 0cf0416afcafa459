"""A large configuration to measure with: one invented machine of many stations, as INI and as YAML.

``write_trees`` writes ``ini/main.ini``, which includes one file a station, and the same content in the
same files below ``yaml/``. The same arguments give the same bytes.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import count, cycle, islice
from pathlib import Path

Value = str | list[str]


@dataclass(frozen=True, slots=True)
class Part:
    """One section: its kind and label, and its settings as (key, value, comment)."""

    name: str
    settings: list[tuple[str, Value, str]]


@dataclass(frozen=True, slots=True)
class Trees:
    """What was written. ``lines`` counts those of the INI files."""

    main: Path
    ini_files: list[Path]
    yaml_folder: Path
    lines: int


def write_trees(folder: Path, *, lines: int = 6000, files: int = 60) -> Trees:
    """Write both trees into ``folder``: about ``lines`` lines, main file and stations together ``files``."""
    stations = [f"station-{number:02}" for number in range(1, files)]
    share = (lines - 2 * files) // (files - 1)
    contents = {f"stations/{name}": list(station(name, share)) for name in stations}
    contents["main"] = [Part("machine", [("name", "Pelican", ""), ("idle after", "900 s", "a tea break")])]
    ini_files = []
    for name, parts in contents.items():
        ini, yaml = folder / "ini" / f"{name}.ini", folder / "yaml" / f"{name}.yaml"
        ini.parent.mkdir(parents=True, exist_ok=True)
        yaml.parent.mkdir(parents=True, exist_ok=True)
        includes = [f"%include stations/{station}.ini" for station in stations] if name == "main" else []
        ini.write_text("\n".join([*as_ini(parts), *includes, ""]), "utf-8")
        yaml.write_text("\n".join([*as_yaml(parts), ""]), "utf-8")
        ini_files.append(ini)
    total = sum(path.read_bytes().count(b"\n") for path in ini_files)
    return Trees(folder / "ini" / "main.ini", ini_files, folder / "yaml", total)


def station(name: str, lines: int) -> Iterator[Part]:
    """The parts of one station, until they fill about ``lines`` lines as INI."""
    board = name.replace("-", "")
    pins = (f"{board}.gpio{number}" for number in count())
    yield Part(f"board {board}", [("link", f"/dev/serial/by-id/usb-{name}", ""), ("on silence", "stop", "")])
    left = lines - 4
    for number, make in zip(count(1), cycle([zone, lift, lamp, routine])):
        for part in make(f"{name}-{number:02}", pins):
            left -= len(as_ini([part]))
            yield part
        if left < 12:  # half of what a turn adds
            return


def zone(label: str, pins: Iterator[str]) -> Iterator[Part]:
    """A heated plate with its sensor, its guard and the fan that goes with it."""
    drive, probe, blower = islice(pins, 3)
    yield Part(
        f"heater {label}",
        [
            ("drive", drive, ""),
            ("thermometer", f"sensor {label}", ""),
            ("lowest", "5 °C", ""),
            ("highest", "110 °C", "the glue lets go at 120"),
            ("rating", "150 W", ""),
            ("regulator", "two-point", ""),
            ("swing", "2 K", ""),
        ],
    )
    yield Part(
        f"sensor {label}",
        [
            ("thermometer", f"{probe}, NTC 100k B3950, pull-up 4.7k", ""),
            ("lowest", "0 °C", ""),
            ("highest", "120 °C", ""),
        ],
    )
    yield Part(
        f"guard {label}",
        [
            ("watches", f"heater {label}", ""),
            ("must gain", "2 K", ""),
            ("within", "60 s", "a cold room takes its time"),
        ],
    )
    yield Part(
        f"fan {label}",
        [("drive", blower, ""), ("runs with", f"heater {label}, from 30 °C", ""), ("runs on", "180 s", "")],
    )


def lift(label: str, pins: Iterator[str]) -> Iterator[Part]:
    """A motor with its driver and its switch."""
    step, direction, enable, uart, switch = islice(pins, 5)
    yield Part(
        f"motor {label}",
        [
            ("step", step, ""),
            ("direction", f"{direction} inverted", "wired backwards"),
            ("enable", f"{enable} active-low", ""),
            ("full steps", "200", ""),
            ("microsteps", "16", ""),
            ("travel per turn", "8 mm", ""),
        ],
    )
    yield Part(
        f"driver {label}",
        [
            ("motor", label, ""),
            ("uart", uart, ""),
            ("running current", "0.8 A", ""),
            ("holding current", "0.5 A", ""),
        ],
    )
    yield Part(f"endstop {label}", [("switch", f"{switch} pull-up", ""), ("debounce", "2 ms", "")])


def lamp(label: str, pins: Iterator[str]) -> Iterator[Part]:
    """Something that is switched."""
    yield Part(
        f"output {label}",
        [("drive", next(pins), ""), ("at start", "off", ""), ("pwm frequency", "500 Hz", "")],
    )


def routine(label: str, pins: Iterator[str]) -> Iterator[Part]:
    """A macro; it needs no pin."""
    body = ["G91", "G1 Z5 F600", "G90", "M104 S0", "G0 X0 Y0 F6000", "M140 S0", "G4 P500"]
    yield Part(f"macro tidy-{label}", [("about", "Lift, park and cool", ""), ("body", body, "")])


def as_ini(parts: list[Part]) -> list[str]:
    """The lines of sections, each with a blank line behind it."""
    lines = []
    for part in parts:
        lines.append(f"[{part.name}]")
        for key, value, comment in part.settings:
            if isinstance(value, list):
                lines += [f"{key} =", *(f"    {line}" for line in value)]
            else:
                lines.append(f"{key} = {value}" + (f"  ; {comment}" if comment else ""))
        lines.append("")
    return lines


def as_yaml(parts: list[Part]) -> list[str]:
    """The same as mappings of mappings, in as many lines."""
    lines = ["---"]
    for part in parts:
        lines += ["", f"{part.name}:"]
        for key, value, comment in part.settings:
            if isinstance(value, list):
                lines += [f"  {key}: |", *(f"    {line}" for line in value)]
            else:
                lines.append(f'  {key}: "{value}"' + (f"  # {comment}" if comment else ""))
    return lines


if __name__ == "__main__":
    made = write_trees(Path(sys.argv[1]), lines=int(sys.argv[2]) if len(sys.argv) > 2 else 6000)
    print(f"{made.lines} lines in {len(made.ini_files)} files; start at {made.main}")
