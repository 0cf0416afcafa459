"""``pins --free``: what a builder looks for before an upgrade.

What the chips' pins can do is from memory of the data sheets of STM32F103x8 and RP2040.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from chip_library import needs_tables

from cli.conftest import Runs
from cli.program import write

MACHINE = """\
[board main]
chip = STM32F103C8T6
link = /dev/serial/by-id/usb-Workbench_main_1-if00

[board lid]
chip = LPC1768

[board arm]
link = can0

[sensor bed]
thermometer = main.PA0
[sensor tip]
thermometer = main.PA1
[fan bay]
drive = main.PA2
[display front]
select   = main.PA4
clock    = main.PA5
data in  = main.PA6
data out = main.PA7
[light lid]
drive = lid.P2.4
"""


@pytest.fixture
def machine(here: Path) -> Path:
    return write(here, {"main.ini": MACHINE})


def ask(run: Runs, *options: str) -> Any:
    ran = run("pins", *options, "--format", "json")
    assert (ran.status, ran.err) == (0, "")
    return json.loads(ran.out)


@needs_tables
def test_the_pins_that_can_still_read_a_voltage(run: Runs, machine: Path) -> None:
    """Ten pins lead to the converter, PA0 to PA7, PB0 and PB1; seven are used."""
    free = ask(run, "--free", "--can", "analog")["free"]
    assert list(free["main"]["pins"]) == ["PA3", "PB0", "PB1"]
    assert free["main"]["pins"]["PB0"] == [["analog", "ADC1", "IN8"], ["analog", "ADC2", "IN8"]]
    assert free["main"]["chip"] == "STM32F103C8T6"


@needs_tables
def test_every_free_pin(run: Runs, machine: Path) -> None:
    """37 pins less seven used; two each of USB and the debug port and four of crystals are left alone."""
    main = ask(run, "--free")["free"]["main"]
    assert len(main["pins"]) == 37 - 7 - 8
    assert main["left_alone"] == {
        **dict.fromkeys(("PA11", "PA12"), "USB"),
        **dict.fromkeys(("PA13", "PA14"), "debug port"),
        **dict.fromkeys(("PC14", "PC15", "PD0", "PD1"), "crystal"),
    }


@needs_tables
def test_buses_that_are_left(run: Runs, machine: Path) -> None:
    free = ask(run, "--can", "spi")["free"]["main"]
    assert free["buses"]["SPI2"] == {
        "lines": {"SCK": ["PB13"], "MISO": ["PB14"], "MOSI": ["PB15"]},
        "used_by": None,
    }
    assert free["buses"]["SPI1"]["used_by"] == "display front"
    assert set(free["pins"]) == {"PA15", "PB3", "PB4", "PB5", "PB12", "PB13", "PB14", "PB15"}


def test_what_is_used_stays_where_it_was(run: Runs, machine: Path) -> None:
    with_free, without = ask(run, "--free"), ask(run)
    assert "free" not in without
    assert {key: value for key, value in with_free.items() if key != "free"} == without


def test_boards_of_which_nothing_is_known_say_why(run: Runs, machine: Path) -> None:
    free = ask(run, "--free")["free"]
    assert set(free) == {"main", "lid", "arm"}
    assert set(free["arm"]) == {"reason"}
    assert "nothing names its chip" in free["arm"]["reason"]
    assert set(free["lid"]) == {"reason"}


@needs_tables
def test_as_text(run: Runs, machine: Path) -> None:
    ran = run("pins", "--can", "uart", columns=100)
    assert (ran.status, ran.err) == (0, "")
    lines = ran.out.splitlines()
    assert lines[0] == "board main  STM32F103C8T6, 7 free pins that can be a line of UART"
    assert "  USART1  TX PA9 or PB6, RX PA10 or PB7" in lines
    assert "  USART3  TX PB10, RX PB11" in lines
    assert "  USART2  TX –, RX PA3" in lines
    assert "board lid  the table of chips has no LPC1768" in lines


def test_a_job_that_no_pin_has(run: Runs, machine: Path) -> None:
    ran = run("pins", "--can", "coffee")
    assert ran.status == 2
    assert "coffee" in ran.err


@needs_tables
def test_a_correction_in_cfgaudit_toml(run: Runs, machine: Path, here: Path) -> None:
    write(here, {"cfgaudit.toml": '[chips]\n"arm" = "RP2040"\n'})
    free = ask(run, "--can", "analog")["free"]
    assert list(free["arm"]["pins"]) == ["GPIO26", "GPIO27", "GPIO28", "GPIO29"]


@needs_tables
def test_a_second_run_reads_what_the_first_one_kept(
    run: Runs, machine: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = ask(run, "--free")
    monkeypatch.setattr("cfgaudit.machine.chips.vendor_data.read_chip", None)
    assert ask(run, "--free") == first
