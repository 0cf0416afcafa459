"""``tree``: which files make the configuration, and which values count."""

from __future__ import annotations

from cfgaudit.cli.opening import open_configuration
from cfgaudit.cli.options import Form, Format, Main, Rev, Staged
from cfgaudit.cli.progress import progress
from cfgaudit.cli.screen import show, width, write


def run(main: Main = None, rev: Rev = None, staged: Staged = False, form: Form = Format.TEXT) -> None:
    """Show the files as they include one another, how they are written, and which values are shadowed."""
    from cfgaudit.report.json_form import dump
    from cfgaudit.report.tree import tree_form, tree_lines
    from cfgaudit.tree.resolve import TreeOptions, resolve

    opened = open_configuration(main, rev=rev, staged=staged)
    with progress(f"reading {opened.main}"):
        tree = resolve(opened.source, opened.main, TreeOptions(traits=opened.project.traits))
    if form is Format.JSON:
        write(dump(tree_form(tree)))
    else:
        show(tree_lines(tree, width()))
