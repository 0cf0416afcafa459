"""From what the command line names to the states of one machine's files."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Optional

import typer

from cfgaudit.cli.chip_tables import InstalledChips
from cfgaudit.cli.failure import UsageError
from cfgaudit.cli.opening import open_configuration, opener_for, project_folder, read_project_in, seen_from

if TYPE_CHECKING:
    from cfgaudit.history.snapshot import Snapshot
    from cfgaudit.history.states import States

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


def open_states(main: str | None) -> States:
    """The states of the machine whose main file is named as for `open_configuration`, errors too."""
    from cfgaudit.history.states import States

    opened = open_configuration(main)
    home = project_folder(opener_for(None, staged=False), opened.folder)
    _, allowed = read_project_in(opener_for(None, staged=False), home)
    return States(
        opened.source,
        opened.main,
        opened.project,
        opened.folder,
        allowed=seen_from(opened.folder, home, allowed),
        library=InstalledChips(),
    )


def two_states(
    states: States, since: str | None, until: str | None, *, staged: bool = False
) -> tuple[Snapshot, Snapshot]:
    """FROM and TO: by default the last mark that HEAD holds, and the working tree."""
    if staged and until is not None:
        raise UsageError("--staged is what is compared with FROM: leave out TO, or --staged")
    before = states.at(since if since is not None else states.last_mark().name)
    if staged:
        return before, states.staged()
    return before, states.working_tree() if until is None else states.at(until)
