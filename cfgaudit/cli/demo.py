"""``demo``: the sample machine Heron, with its history and one unlucky evening."""

from __future__ import annotations

import os
import shlex
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from cfgaudit.checks.finding import Severity
from cfgaudit.cli.failure import UsageError
from cfgaudit.cli.screen import show, width
from cfgaudit.evidence.records.record import FOLDER
from cfgaudit.report.lines import BLANK, Line, one_line, wrapped

if TYPE_CHECKING:
    from cfgaudit.history.states.states import States

COHERENT = "Is this configuration coherent and safe?"
CHANGED = "What changed since the last good print, and what does it come to?"
RESTART = "May the firmware be restarted with it?"
WORTH = "And what came of the work between the last two good prints, as far as it was measured?"
UPGRADE = "What the evening's new rail did for X was measured, too. See for yourself:"

Folder = Annotated[str, typer.Argument(metavar="FOLDER", help="A new folder for the demo.")]


def run(folder: Folder = "cfgaudit-demo") -> None:
    """Write a sample machine, its history and an uncommitted upgrade into a new folder, and audit it.

    The machine is invented, and faults of many kinds are planted in its upgrade. An existing folder is never
    touched. What check, changes, gate and compare say of it follows.
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
        _date_evidence(target)
    show(_introduction(target, width()))
    _reports(str(target))


def _date_evidence(folder: Path) -> None:
    """Let the records be of no future where the clock is behind them: the demo's dates are fixed."""
    from cfgaudit.cli.clock import current_time
    from cfgaudit.evidence.records.read import read_evidence
    from cfgaudit.working_tree import WorkingTree

    newest = max(record.date for record in read_evidence(WorkingTree(folder)).records)
    seconds = max(newest, current_time()).timestamp()
    os.utime(folder / FOLDER, (seconds, seconds))


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
            f"Heron, an invented machine, now stands in {folder}: a git repository with seven weeks of its "
            "history and of what was measured, and on top of the last commit the uncommitted upgrade of one "
            "long evening. Three questions to ask before it prints again, one to ask of the autumn's work, "
            "and the answers:"
        ),
        columns,
        0,
    )


def _command(question: str, *words: str) -> Iterator[Line]:
    """What a command is for, in one line, and how it is called."""
    yield BLANK
    yield from wrapped(question, width(), 0)
    yield BLANK
    command = one_line(" ".join(["$ cfgaudit", *map(shlex.quote, words)]))
    yield from wrapped(command, width(), 2, "strong", first="")
    yield BLANK


def _reports(folder: str) -> None:
    """What check, changes, gate and compare say."""
    from cfgaudit.cli.states import open_states, two_states
    from cfgaudit.history.gating.gate import judge
    from cfgaudit.history.review import review
    from cfgaudit.report.changes import changes_lines
    from cfgaudit.report.findings import findings_lines
    from cfgaudit.report.gate import Asked, gate_lines

    states = open_states(folder)
    before, after = two_states(states, None, None)
    audit = states.audit(after)
    show(_command(COHERENT, "check", folder))
    show(findings_lines(audit.tree.main, audit.tree.documents, audit.findings, width()))
    found = review(states, before, after)
    show(_command(CHANGED, "changes", "--main", folder))
    show(changes_lines(found, width()))
    show(_command(RESTART, "gate", folder))
    show(gate_lines(judge(found, Severity.ERROR, None), width(), Asked(folder)))
    _compared(states, folder)


def _compared(states: States, folder: str) -> None:
    """What compare says of the two marks; where it cannot, what is missing."""
    from cfgaudit.cli.measuring import need_extra
    from cfgaudit.cli.states import two_states
    from cfgaudit.history.upgrade import evidence_of, judge_upgrade
    from cfgaudit.report.comparison import comparison_lines

    last, *_, first = (mark.name for mark in states.marks())
    show(_command(WORTH, "compare", first, last, "--main", folder))
    try:
        need_extra()
    except UsageError as error:
        show(wrapped(one_line(str(error)), width(), 0))
        return
    before, after = two_states(states, first, last)
    show(comparison_lines(judge_upgrade(states, evidence_of(states), before, after), width()))
    *next_one, _ = _command(UPGRADE, "compare", "--main", folder)
    show(next_one)
