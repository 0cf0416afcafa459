"""Looking chips up: what is kept between runs, and what happens where there are no tables."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from chip_library import needs_tables

from cfgaudit.kept import keep_in
from cfgaudit.machine.chips import device_tables, vendor_data
from cfgaudit.machine.chips.chip import NO_TABLE, Chip, Unknown
from cfgaudit.machine.chips.device_tables import DeviceTables


@pytest.fixture
def folder(tmp_path: Path) -> Iterator[Path]:
    keep_in(tmp_path)
    yield tmp_path
    keep_in(None)


@needs_tables
def test_what_was_kept_needs_no_second_reading(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    first = DeviceTables().find("RP2040")
    (file,) = folder.iterdir()
    assert file.name.startswith("chip-rp2040-")
    monkeypatch.setattr(vendor_data, "read_chip", None)
    assert isinstance(first, Chip)
    assert DeviceTables().find("rp2040") == first


@needs_tables
@pytest.mark.parametrize("broken", [b"", b"nonsense", b"\x80\x04K\x07.", b"\x80\x04]\x94."])
def test_what_is_broken_or_foreign_is_read_anew(folder: Path, broken: bytes) -> None:
    first = DeviceTables().find("RP2040")
    (file,) = folder.iterdir()
    file.write_bytes(broken)
    assert DeviceTables().find("RP2040") == first


@needs_tables
def test_another_version_of_the_tables_is_read_anew(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    DeviceTables().find("RP2040")
    monkeypatch.setattr(device_tables, "library_version", lambda folder: "9.9")
    found = DeviceTables().find("RP2040")
    assert isinstance(found, Chip)
    assert found.source == "modm-devices 9.9"
    assert len(list(folder.iterdir())) == 2


@needs_tables
def test_the_version_is_that_of_the_installed_package() -> None:
    from importlib.metadata import version

    library = device_tables.library_folder()
    assert library is not None
    assert device_tables.library_version(library) == version("modm-devices")


def test_without_tables_every_chip_is_unknown(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(device_tables, "library_folder", lambda: None)
    assert DeviceTables().find("RP2040") == Unknown("RP2040", NO_TABLE)


@needs_tables
@pytest.mark.parametrize(
    "name", ["LPC1768", "RP2350", "ESP32", "STM32F4", "home-made", "", "é" * 99, "STM32F"]
)
def test_chips_outside_the_tables_are_not_guessed(name: str) -> None:
    found = DeviceTables().find(name)
    assert isinstance(found, Unknown)
    assert found.reason.strip() == found.reason != ""


def test_a_library_that_cannot_be_read_costs_no_check(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(device_tables, "library_folder", lambda: tmp_path)
    found = DeviceTables().find("RP2040")
    assert isinstance(found, Unknown)
    assert "cannot be read" in found.reason


LOADED = """
import sys
from cfgaudit.audit import audit_text
from cfgaudit.kept import keep_in
from pathlib import Path
from cfgaudit.machine.chips.device_tables import DeviceTables
keep_in(Path(sys.argv[1]))
audit_text({"main.ini": "[board main]\\nchip = RP2040\\n"}, library=DeviceTables())
print("modm_devices" in sys.modules, "lxml" in sys.modules)
"""


@needs_tables
def test_a_second_run_imports_neither_the_library_nor_xml(tmp_path: Path) -> None:
    def run() -> str:
        done = subprocess.run(
            [sys.executable, "-c", LOADED, str(tmp_path)], capture_output=True, text=True, check=True
        )
        return done.stdout.strip()

    assert [run(), run()] == ["True True", "False False"]


NO_CHIP = """
import sys
from cfgaudit.audit import audit_text
class Never:
    def find(self, name):
        raise AssertionError(name)
audit_text({"main.ini": "[board main]\\nlink = can0\\n[fan bay]\\ndrive = PB1\\n"}, library=Never())
print([name for name in sys.modules if name.startswith("cfgaudit.machine.chips")])
"""


def test_nothing_of_chips_is_imported_where_no_board_names_one() -> None:
    done = subprocess.run([sys.executable, "-c", NO_CHIP], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
