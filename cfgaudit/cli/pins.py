"""``pins``: which pin is used by what."""

from __future__ import annotations

from cfgaudit.cli.opening import open_configuration
from cfgaudit.cli.options import Form, Format, Main, Rev, Staged
from cfgaudit.cli.progress import progress
from cfgaudit.cli.screen import show, width, write


def run(main: Main = None, rev: Rev = None, staged: Staged = False, form: Form = Format.TEXT) -> None:
    """Show every board's pins with their users, aliases followed."""
    from cfgaudit.audit import understand
    from cfgaudit.report.json_form import dump
    from cfgaudit.report.pins import pins_form, pins_lines

    opened = open_configuration(main, rev=rev, staged=staged)
    with progress(f"reading {opened.main}"):
        machine = understand(opened.source, opened.main, opened.project).machine
    if form is Format.JSON:
        write(dump(pins_form(machine)))
    else:
        show(pins_lines(machine, width()))
