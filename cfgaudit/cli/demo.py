"""``demo``: the sample machine Heron, with its history and one unlucky evening."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from cfgaudit.cli.failure import UsageError
from cfgaudit.cli.screen import show, width
from cfgaudit.report.lines import BLANK, Line, Piece, line, wrapped

Folder = Annotated[Path, typer.Argument(metavar="[FOLDER]", help="A new folder for the demo.")]


def run(folder: Folder = Path("cfgaudit-demo")) -> None:
    """Write a sample machine, its history and an uncommitted upgrade into a new folder, and check it.

    The machine is invented, and faults of many kinds are planted in its upgrade.
    """
    from cfgaudit.data import data_folder
    from cfgaudit.history.story import load_story, write_story

    story = load_story(data_folder("samples") / "heron")
    _make(folder)
    write_story(story, folder)
    show(_introduction(folder, width()))
    _check(folder / story.main)


def _make(folder: Path) -> None:
    if folder.exists():
        raise UsageError(f"{folder} exists already: name a new folder, or remove that one")
    try:
        folder.mkdir(parents=True)
    except OSError as error:
        raise UsageError(f"{folder} cannot be made ({error.strerror}): name another folder") from error


def _introduction(folder: Path, columns: int) -> list[Line]:
    told = (
        f"Heron, an invented machine, now stands in {folder}: a git repository, and on top of its last "
        "commit the uncommitted upgrade of one long evening. This is what check says of it:"
    )
    command = line(Piece(f"$ cfgaudit check {folder}", "strong"))
    return [*wrapped(told, columns, ""), BLANK, command, BLANK]


def _check(main: Path) -> None:
    from cfgaudit.audit import audit
    from cfgaudit.cli.opening import open_configuration
    from cfgaudit.report.findings import findings_lines

    opened = open_configuration(str(main))
    found = audit(opened.source, opened.main, opened.project)
    show(findings_lines(found.tree.main, found.tree.documents, found.findings, width()))
