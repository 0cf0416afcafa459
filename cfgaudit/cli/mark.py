"""``mark``: declare a commit known-good."""

from __future__ import annotations

import os
from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated, Optional

import typer

from cfgaudit.cli.failure import UsageError
from cfgaudit.cli.progress import progress
from cfgaudit.cli.screen import show, width
from cfgaudit.cli.states import MainFile, commit_of, open_states

if TYPE_CHECKING:
    from cfgaudit.history.states.states import States

Revision = Annotated[
    Optional[str],  # noqa: UP045
    typer.Argument(
        metavar="REV",
        help="The commit to mark. Without it the last one, if the configuration has not changed since.",
        show_default=False,
    ),
]
Note = Annotated[
    Optional[str],  # noqa: UP045
    typer.Option(
        "-m", "--message", metavar="NOTE", help="What makes this state good; required.", show_default=False
    ),
]
Values = Annotated[
    Optional[list[str]],  # noqa: UP045
    typer.Option(
        "--measured",
        metavar="NAME=VALUE",
        help="A value that was measured on this state; may be given several times.",
        show_default=False,
    ),
]
NAMED_AT_MOST = 6


def run(rev: Revision = None, message: Note = None, measured: Values = None, main: MainFile = None) -> None:
    """After a good print: mark the commit that the machine ran with as known-good.

    A mark is an annotated tag, good/DATE, with the note and the measured values. It is what changes, gate
    and restore compare with. It travels with the tags of git push and git fetch.
    """
    from cfgaudit.history.states.mark_message import checked
    from cfgaudit.history.states.marks import make_mark
    from cfgaudit.report.marks import marked_lines

    if message is None:
        raise UsageError("a mark needs a note: say with -m what makes this state good")
    said = checked(message, measured or ())
    states = open_states(main)
    with progress(f"reading {states.main}"):
        commit = _last_commit(states) if rev is None else commit_of(states, rev)
    others = tuple(one.name for one in states.marks() if one.commit == commit)
    mark = make_mark(states.repository, commit, said)
    show(marked_lines(mark, states.repository.summary(commit), others, width()))


def _last_commit(states: States) -> str:
    """The full id of HEAD. Raises UsageError if the configuration has changed since."""
    from cfgaudit.history.states.uncommitted import uncommitted

    commit = states.repository.commit("HEAD")
    if changed := uncommitted(states, commit):
        raise UsageError(
            f"{_listed(states, changed)} not as in the last commit: git commit first, or name the commit "
            "that you printed with, cfgaudit mark REV"
        )
    return commit


def _listed(states: States, paths: Sequence[str]) -> str:
    names = [os.path.normpath(os.path.join(states.folder, path)) for path in paths[:NAMED_AT_MOST]]
    more = len(paths) - len(names)
    return f"{', '.join(names)}{f' and {more} more' if more else ''} {'is' if len(paths) == 1 else 'are'}"
