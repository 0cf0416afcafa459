"""The chips that tests look up: the installed tables, or none."""

from __future__ import annotations

import pytest

from cfgaudit.machine.chips.device_tables import DeviceTables, library_folder

LIBRARY = DeviceTables()

needs_tables = pytest.mark.skipif(library_folder() is None, reason="modm-devices is not installed")
"""For tests that can only pass with the tables."""
