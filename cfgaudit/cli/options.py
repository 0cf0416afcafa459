"""Arguments and options that several commands share."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated, Optional

import typer


class Format(StrEnum):
    """How a report is written."""

    TEXT = "text"
    JSON = "json"


# ``Optional`` is spelled out: the command-line library evaluates these at run time.
Main = Annotated[
    Optional[str],  # noqa: UP045
    typer.Argument(
        metavar="MAIN",
        help="The main file, or its folder. Without it: what cfgaudit.toml says, or the one file here "
        "that no other includes.",
        show_default=False,
    ),
]
Rev = Annotated[
    str | None,
    typer.Option(
        "--rev", metavar="REV", help="Read the files as they are in this git revision.", show_default=False
    ),
]
Staged = Annotated[bool, typer.Option("--staged", help="Read the files as they are staged in git.")]
Form = Annotated[Format, typer.Option("--format", help="How the report is written.")]
