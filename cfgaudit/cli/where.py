"""``where``: every place that has or uses a name."""

from __future__ import annotations

from typing import Annotated

import typer

from cfgaudit.cli.failure import UsageError
from cfgaudit.cli.opening import open_configuration
from cfgaudit.cli.options import Form, Format, Main, Rev, Staged
from cfgaudit.cli.progress import progress
from cfgaudit.cli.screen import complain, show, width, write
from cfgaudit.report.lines import one_line

Name = Annotated[
    str,
    typer.Argument(
        metavar="NAME", help="A section, part, setting (SECTION:SETTING, globs allowed), alias, pin or macro."
    ),
]


def run(
    name: Name, main: Main = None, rev: Rev = None, staged: Staged = False, form: Form = Format.TEXT
) -> None:
    """Show where a name is written: where it is defined, set, shadowed, referred to, wired and called.

    Exit status 1 if it is written nowhere.
    """
    from cfgaudit.audit import understand
    from cfgaudit.report.json_form import dump
    from cfgaudit.report.where import find_mentions, where_form, where_lines

    if not name.strip():
        raise UsageError("the name is empty: give a section, part, setting, alias, pin or macro")
    opened = open_configuration(main, rev=rev, staged=staged)
    with progress(f"reading {opened.main}"):
        mentions = find_mentions(understand(opened.source, opened.main, opened.project), name)
    if form is Format.JSON:
        write(dump(where_form(name, mentions)))
    elif mentions:
        show(where_lines(name, mentions, width()))
    else:
        complain(one_line(f"nothing here is called {name}: cfgaudit roles shows what there is"))
    if not mentions:
        raise typer.Exit(1)
