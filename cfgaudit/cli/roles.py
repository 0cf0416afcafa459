"""``roles``: what the words of a configuration were understood to mean."""

from __future__ import annotations

from typing import Annotated

import typer

from cfgaudit.cli.opening import open_configuration
from cfgaudit.cli.options import Form, Format, Main, Rev, Staged
from cfgaudit.cli.progress import progress
from cfgaudit.cli.screen import show, width, write

Unknown = Annotated[
    bool, typer.Option("--unknown", help="Only what was not understood, and values that do not fit.")
]


def run(
    main: Main = None,
    rev: Rev = None,
    staged: Staged = False,
    form: Form = Format.TEXT,
    unknown: Unknown = False,
) -> None:
    """Show which part every section describes and which role every setting plays."""
    from cfgaudit.report.json_form import dump
    from cfgaudit.report.roles import roles_form, roles_lines
    from cfgaudit.tree.resolve import TreeOptions, resolve
    from cfgaudit.vocabulary.read import read_roles
    from cfgaudit.vocabulary.words import load_words

    opened = open_configuration(main, rev=rev, staged=staged)
    with progress(f"reading {opened.main}"):
        options = TreeOptions(traits=opened.project.traits, strangers=False)
        tree = resolve(opened.source, opened.main, options)
        reading = read_roles(tree, load_words(opened.project.overrides))
    if form is Format.JSON:
        write(dump(roles_form(reading)))
    else:
        show(roles_lines(reading, width(), all_settings=not unknown))
