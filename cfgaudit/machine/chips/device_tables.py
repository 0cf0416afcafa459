"""The chips of the tables that are installed with the extra ``chips``.

Reading them takes a tenth of a second, so what is read of a chip is kept between runs (`cfgaudit.kept`), and
a later run needs neither the library nor its files.
"""

from __future__ import annotations

import re
from functools import cache
from importlib.util import find_spec
from pathlib import Path

from cfgaudit.kept import kept
from cfgaudit.machine.chips.chip import NO_TABLE, Chip, Unknown
from cfgaudit.machine.chips.packed import FORM, pack, unpack
from cfgaudit.machine.chips.part_numbers import fold_part, is_part_number

LIBRARY = "modm_devices"

_VERSION = re.compile(r"""^__version__ = ["']([^"']+)["']""", re.MULTILINE)


class DeviceTables:
    """Every chip of the installed tables. A chip is read once a process."""

    def __init__(self) -> None:
        self._found: dict[str, Chip | Unknown] = {}

    def find(self, name: str) -> Chip | Unknown:
        """The chip with a part number, or what all chips share that a shortened one stands for."""
        folded = fold_part(name)
        if folded not in self._found:
            self._found[folded] = _look_up(name, folded)
        return self._found[folded]


def _look_up(name: str, folded: str) -> Chip | Unknown:
    folder = library_folder()
    if folder is None:
        return Unknown(name, NO_TABLE)
    if not is_part_number(folded):
        return Unknown(name, f"{name or 'nothing'} is no part number of a chip, or too little of one")
    try:
        return _kept_or_read(folder, folded)
    except Exception as fault:  # whatever somebody else's library and files lead to: a check goes on without
        return Unknown(name, f"the table of chips cannot be read: {type(fault).__name__}: {fault}")


def _kept_or_read(folder: Path, folded: str) -> Chip | Unknown:
    version = library_version(folder)
    ingredients = (folded, version, str(FORM))
    packed = kept(f"chip-{folded}", ingredients, lambda: pack(_read(folder, folded, version)))
    return unpack(packed) or _read(folder, folded, version)


def _read(folder: Path, folded: str, version: str) -> Chip | Unknown:
    from cfgaudit.machine.chips.vendor_data import read_chip

    return read_chip(folder, folded, f"modm-devices {version}")


@cache
def library_folder() -> Path | None:
    """Where the library is installed; looking for it imports nothing."""
    try:
        found = find_spec(LIBRARY)
    except (ImportError, ValueError):
        return None
    return Path(found.origin).parent if found is not None and found.origin else None


@cache
def library_version(folder: Path) -> str:
    """The library's version, from its text."""
    match = _VERSION.search((folder / "__init__.py").read_text("utf-8"))
    return match[1] if match else "unknown"
