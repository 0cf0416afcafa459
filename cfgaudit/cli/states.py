"""From what the command line names to the states of one machine's files."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Optional

import typer

from cfgaudit.cli.chip_tables import InstalledChips
from cfgaudit.cli.clock import time_of_reading
from cfgaudit.cli.failure import UsageError
from cfgaudit.cli.opening import AS_OPTION, Opened, open_configuration, seen_from
from cfgaudit.source import SourceError

if TYPE_CHECKING:
    from cfgaudit.history.states.snapshot import Snapshot
    from cfgaudit.history.states.states import States

MainFile = Annotated[
    Optional[str],  # noqa: UP045
    typer.Option(
        "--main",
        metavar="MAIN",
        help="The main file, or its folder. Without it: what cfgaudit.toml says, or the one file here that "
        "no other includes.",
        show_default=False,
    ),
]


def open_states(main: str | None, *, naming: str = AS_OPTION) -> States:
    """The states of the machine whose main file is named as for `open_configuration`, errors too."""
    from cfgaudit.history.states.states import States
    from cfgaudit.project import FILE

    opened = _open(main, naming)
    states = States(
        opened.source,
        opened.main,
        opened.project,
        opened.folder,
        allowed=opened.allowed,
        companions=seen_from(opened.folder, opened.home, (FILE, *opened.project.vocabulary)),
        library=InstalledChips(),
        now=time_of_reading(opened.folder),
    )
    if states.repository.bare:  # its own settings read like a configuration
        raise _bare(opened.folder)
    return states


def _open(main: str | None, naming: str) -> Opened:
    """The files on disk. A bare repository has none, which is told apart from a wrong name."""
    try:
        return open_configuration(main, naming=naming)
    except UsageError:
        folder = Path(main or ".")
        if _is_bare(folder):
            raise _bare(folder) from None
        raise


def _bare(folder: Path) -> UsageError:
    told = f"{os.path.abspath(folder)} is a bare repository, which has no files on disk"
    return UsageError(f"{told}: git clone it, and work in the clone")


def _is_bare(folder: Path) -> bool:
    from cfgaudit.history.git.repository import Repository

    if not (folder / "objects").is_dir():
        return False
    try:
        return Repository(folder).bare
    except SourceError:
        return False


def two_states(
    states: States, since: str | None, until: str | None, *, staged: bool = False
) -> tuple[Snapshot, Snapshot]:
    """FROM and TO: by default the last mark that HEAD holds, and the working tree."""
    if staged and until is not None:
        raise UsageError("--staged is what is compared with FROM: leave out TO, or --staged")
    before = states.at(states.last_mark().name) if since is None else state_at(states, since)
    if staged:
        return before, states.staged()
    return before, states.working_tree() if until is None else state_at(states, until)


def state_at(states: States, revision: str) -> Snapshot:
    """The state of a commit that the command line names. Raises UsageError where a file is named instead."""
    try:
        return states.at(revision)
    except SourceError as error:
        if "names no commit" in str(error) and os.path.lexists(revision):
            raise UsageError(
                f"{revision} names no commit, but a file or folder: the main file goes with --main {revision}"
            ) from error
        raise


def commit_of(states: States, revision: str) -> str:
    """As `state_at`: the full id of the commit, which has the main file."""
    commit = state_at(states, revision).revision.commit
    assert commit is not None
    return commit
