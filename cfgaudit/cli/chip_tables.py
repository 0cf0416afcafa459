"""The chips that commands look up: those of the installed tables."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from cfgaudit.machine.chips.chip import Chip, ChipLibrary, Unknown


class InstalledChips:
    """A library of chips that is not imported before the first chip is asked for."""

    def __init__(self) -> None:
        self._tables: ChipLibrary | None = None

    def find(self, name: str) -> Chip | Unknown:
        """As the installed tables have it; what is read of them is kept in the user's cache folder."""
        if self._tables is None:
            from cfgaudit.machine.chips.device_tables import DeviceTables

            self._tables = DeviceTables()
        return self._tables.find(name)
