"""``pins``: which pin is used by what, and which are left."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated, Optional

import typer

from cfgaudit.cli.chip_tables import InstalledChips
from cfgaudit.cli.opening import open_configuration
from cfgaudit.cli.options import Form, Format, Main, Rev, Staged
from cfgaudit.cli.progress import progress
from cfgaudit.cli.screen import show, width, write


class Job(StrEnum):
    """What a free pin is wanted for; the tables of chips have the same words."""

    ANALOG = "analog"
    PWM = "pwm"
    UART = "uart"
    SPI = "spi"
    I2C = "i2c"


Free = Annotated[
    bool, typer.Option("--free", help="Show the pins of each board's chip that nothing uses yet.")
]
Can = Annotated[
    Optional[Job],  # noqa: UP045
    typer.Option("--can", help="Only free pins that can do this; it means --free too.", show_default=False),
]


def run(
    main: Main = None,
    rev: Rev = None,
    staged: Staged = False,
    form: Form = Format.TEXT,
    free: Free = False,
    can: Can = None,
) -> None:
    """Show every board's pins with their users, aliases followed; or what is left for new parts.

    Which pins a chip has, and what they can do, is known with the extra: pip install 'cfgaudit[chips]'.
    """
    from cfgaudit.audit import understand
    from cfgaudit.report.json_form import dump
    from cfgaudit.report.pins import pins_form, pins_lines

    opened = open_configuration(main, rev=rev, staged=staged)
    with progress(f"reading {opened.main}"):
        machine = understand(opened.source, opened.main, opened.project, InstalledChips()).machine
    if not free and can is None:
        if form is Format.JSON:
            write(dump(pins_form(machine)))
        else:
            show(pins_lines(machine, width()))
        return
    from cfgaudit.report.free_pins import free_form, free_lines

    if form is Format.JSON:
        write(dump({**pins_form(machine), **free_form(machine, can)}))
    else:
        show(free_lines(machine, can, width()))
