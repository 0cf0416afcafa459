"""The marks of a machine in a row, with how much changed from one to the next."""

from __future__ import annotations

from typing import NamedTuple

from cfgaudit.history.change import Mark
from cfgaudit.history.comparing.compare import compare_machines
from cfgaudit.history.git.sources import GitTree
from cfgaudit.history.states.snapshot import Snapshot
from cfgaudit.history.states.states import States
from cfgaudit.source import SourceError


class Listed(NamedTuple):
    """One mark."""

    mark: Mark
    changes: int | None
    """Since the mark ``since``; None where there is no older mark whose files can be read."""
    since: str
    unreadable: str = ""
    """Why the files of that time cannot be read, in one line; empty where they can."""


class Since(NamedTuple):
    """What changed since a mark; None where that state cannot be read."""

    mark: Mark
    head: int | None
    working_tree: int | None


class MarkList(NamedTuple):
    """All marks, newest first, and what came since the last one."""

    main: str
    marks: tuple[Listed, ...]
    since: Since | None


def list_marks(states: States) -> MarkList:
    """Every mark with the number of changes since the older one before it."""
    listed: list[Listed] = []
    older: tuple[Mark, Snapshot] | None = None
    for mark in reversed(states.marks()):
        try:
            snapshot = states.at(f"refs/tags/{mark.name}")
            count = None if older is None else count_changes(states, older[1], snapshot)
        except SourceError as error:
            listed.append(Listed(mark, None, "", str(error)))
            continue
        listed.append(Listed(mark, count, older[0].name if older else ""))
        older = mark, snapshot
    last = states.find_last_mark() or next(iter(states.marks()), None)
    return MarkList(states.main, tuple(reversed(listed)), last and _since(states, last))


def _since(states: States, mark: Mark) -> Since | None:
    try:
        before = states.at(f"refs/tags/{mark.name}")
        states.subject(before)
    except SourceError:
        return None
    return Since(mark, _count(states, before, "HEAD"), _count(states, before, None))


def _count(states: States, before: Snapshot, revision: str | None) -> int | None:
    try:
        after = states.working_tree() if revision is None else states.at(revision)
        return count_changes(states, before, after)
    except SourceError:
        return None


def count_changes(states: States, before: Snapshot, after: Snapshot) -> int:
    """How many changes lead from one state to the other. Raises SourceError if one cannot be read."""
    old, new = before.source, after.source
    if isinstance(old, GitTree) and isinstance(new, GitTree) and before.main == after.main:
        states.subject(after)
        if old.same_files(new):
            return 0
    return len(compare_machines(states.subject(before), states.subject(after)))
