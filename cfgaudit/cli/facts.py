"""``facts``: what the configuration says in numbers."""

from __future__ import annotations

from typing import Annotated, Optional

import typer

from cfgaudit.cli.opening import open_configuration
from cfgaudit.cli.options import Form, Format, Main, Rev, Staged
from cfgaudit.cli.progress import progress
from cfgaudit.cli.screen import show, width, write

Only = Annotated[
    Optional[str],  # noqa: UP045
    typer.Option(
        "--only", metavar="GLOB", help="Only facts of this name: 'axis.*.travel'.", show_default=False
    ),
]


def run(
    main: Main = None,
    rev: Rev = None,
    staged: Staged = False,
    form: Form = Format.TEXT,
    only: Only = None,
) -> None:
    """Show what follows from the settings: steps per millimetre, travel, step rates, probing points …"""
    from cfgaudit.audit import understand
    from cfgaudit.report.facts import facts_form, facts_lines
    from cfgaudit.report.json_form import dump

    opened = open_configuration(main, rev=rev, staged=staged)
    with progress(f"reading {opened.main}"):
        subject = understand(opened.source, opened.main, opened.project)
    facts = list(subject.facts.matching(only or "*"))
    if form is Format.JSON:
        write(dump(facts_form(facts)))
    else:
        show(facts_lines(facts, width()))
