"""``changes``: what changed since the last good print, and what it comes to."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated, Optional

import typer

from cfgaudit.cli.progress import progress
from cfgaudit.cli.screen import show, width, write
from cfgaudit.cli.states import MainFile, open_states, two_states


class ChangesFormat(StrEnum):
    """How the report is written."""

    TEXT = "text"
    JSON = "json"
    MARKDOWN = "markdown"


# ``Optional`` is spelled out: the command-line library evaluates these at run time.
From = Annotated[
    Optional[str],  # noqa: UP045
    typer.Argument(
        metavar="FROM", help="The revision to compare with. Without it: the last mark.", show_default=False
    ),
]
To = Annotated[
    Optional[str],  # noqa: UP045
    typer.Argument(
        metavar="TO", help="The revision that is compared. Without it: the working tree.", show_default=False
    ),
]
Staged = Annotated[bool, typer.Option("--staged", help="Compare the files as they are staged in git.")]
Form = Annotated[
    ChangesFormat,
    typer.Option("--format", help="How the report is written; markdown is for a pull request."),
]


def run(
    since: From = None,
    until: To = None,
    staged: Staged = False,
    main: MainFile = None,
    form: Form = ChangesFormat.TEXT,
) -> None:
    """What changed since the last good print: each change with what it comes to, and by which commits.

    Moving, reordering and rewriting without another meaning are no changes. Findings that are new since
    then, and those that are gone, follow.

    Exit status: 0 told, whatever changed, 2 wrong usage or nothing readable.
    """
    from cfgaudit.history.review import review

    states = open_states(main)
    before, after = two_states(states, since, until, staged=staged)
    with progress(f"comparing {states.main}"):
        found = review(states, before, after)
    if form is ChangesFormat.JSON:
        from cfgaudit.report.changes_json import changes_form
        from cfgaudit.report.json_form import dump

        write(dump(changes_form(found)))
    elif form is ChangesFormat.MARKDOWN:
        from cfgaudit.report.changes_markdown import changes_markdown

        write(changes_markdown(found))
    else:
        from cfgaudit.report.changes import changes_lines

        show(changes_lines(found, width()))
