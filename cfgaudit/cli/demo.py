"""``demo``: the sample machine Heron, with its history and one unlucky evening."""

from __future__ import annotations

import os
import shlex
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated

import typer

from cfgaudit.cli.chip_tables import InstalledChips
from cfgaudit.cli.failure import UsageError
from cfgaudit.cli.screen import show, width
from cfgaudit.report.lines import BLANK, Line, one_line, wrapped

Folder = Annotated[str, typer.Argument(metavar="FOLDER", help="A new folder for the demo.")]


def run(folder: Folder = "cfgaudit-demo") -> None:
    """Write a sample machine, its history and an uncommitted upgrade into a new folder, and check it.

    The machine is invented, and faults of many kinds are planted in its upgrade. An existing folder is never
    touched.
    """
    from cfgaudit.data import data_folder
    from cfgaudit.history.story import load_story, write_story

    if not folder.strip():
        raise UsageError("the folder's name is empty: name a new folder")
    target = Path(folder)
    story = load_story(data_folder("samples") / "heron")
    _leave_other_repositories()
    with _made(target):
        write_story(story, target)
    show(_introduction(target, width()))
    _check(target / story.main)


def _leave_other_repositories() -> None:
    """Forget which repository a hook or a shell says that git works on: the demo makes its own."""
    from cfgaudit.history.story import binds

    for name in [name for name in os.environ if binds(name)]:
        del os.environ[name]


@contextmanager
def _made(folder: Path) -> Iterator[None]:
    """A new folder, and those above it that are missing; all of them go again if what is done there fails."""
    if os.path.lexists(folder):
        raise UsageError(f"{folder} exists already and is left as it is: name a new folder")
    made: list[Path] = []
    try:
        for one in (*reversed(folder.parents), folder):
            if not os.path.lexists(one):
                one.mkdir()
                made.append(one)
        yield
    except BaseException as error:
        if made:
            shutil.rmtree(made[0], ignore_errors=True)
        if not isinstance(error, OSError):
            raise
        told = f"{folder} cannot be written ({error.strerror}): name a folder where you may write"
        raise UsageError(told) from error


def _introduction(folder: Path, columns: int) -> Iterator[Line]:
    yield from wrapped(
        one_line(
            f"Heron, an invented machine, now stands in {folder}: a git repository, and on top of its last "
            "commit the uncommitted upgrade of one long evening. This is what check says of it:"
        ),
        columns,
        0,
    )
    yield BLANK
    command = one_line(f"$ cfgaudit check {shlex.quote(str(folder))}")
    yield from wrapped(command, columns, 2, "strong", first="")
    yield BLANK


def _check(main: Path) -> None:
    from cfgaudit.audit import audit
    from cfgaudit.cli.opening import open_file, opener_for
    from cfgaudit.report.findings import findings_lines

    opened = open_file(opener_for(None, staged=False), main)
    found = audit(opened.source, opened.main, opened.project, library=InstalledChips())
    show(findings_lines(found.tree.main, found.tree.documents, found.findings, width()))
