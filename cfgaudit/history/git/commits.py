"""What every commit of a stretch of history changed, file by file, against each of its parents."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from datetime import UTC, datetime, timedelta, timezone
from typing import NamedTuple

from cfgaudit.history.change import Commit
from cfgaudit.history.git.repository import Repository

FORM = "--format=%H%x00%P%x00%ad%x00%an%x00%s%x00"
LINK, SUBMODULE, NOTHING = "120000", "160000", "000000"
DIFFERENCE = ("--stdin", "--root", "--always", "-r", "-z", "--raw", "--no-abbrev", "--no-renames")


class FileChange(NamedTuple):
    """One file that differs from a parent's. Ids are those of blobs; None where there is no such file."""

    path: str
    """From the repository's root."""
    old: str | None
    new: str | None
    mode: str = "100644"
    """The new one, as git writes it; the old one where there is no new file."""
    link: bool = False
    """Whether it is a symbolic link on either side: its content is then the path that it leads to."""


class Step(NamedTuple):
    """One commit. ``against`` holds what differs from each parent, in their order; one item for a root,
    which differs from nothing at all."""

    commit: Commit
    against: tuple[tuple[FileChange, ...], ...]


def read_steps(repository: Repository, *given: str) -> tuple[Step, ...]:
    """Every commit of a range (words that git-rev-list(1) takes, full ids), parents before children."""
    commits = read_commits(repository, *given)
    pairs = [(one.id, parent) for one in commits for parent in one.parents or ("",)]
    asked = "".join(f"{commit} {parent}".rstrip() + "\n" for commit, parent in pairs)
    told = repository.run("diff-tree", *DIFFERENCE, data=asked.encode("ascii")) if pairs else b""
    differences = _differences(told, {one.id for one in commits})
    return tuple(Step(one, tuple(next(differences) for _ in one.parents or ("",))) for one in commits)


def read_commits(repository: Repository, *given: str) -> tuple[Commit, ...]:
    """What git says of every commit of a range, parents before children."""
    told = repository.run("log", "--date-order", "--reverse", "--date=raw", FORM, *given, "--")
    fields = (os.fsdecode(one) for one in told.split(b"\0"))
    return tuple(_commits(fields))


def _commits(fields: Iterator[str]) -> Iterator[Commit]:
    for name, parents, date, author, summary in zip(*[fields] * 5, strict=False):
        yield Commit(name.lstrip("\n"), _date(date), author, summary, tuple(parents.split()))


def _date(raw: str) -> datetime:
    """``1795611913 +0100``. What no calendar has is the beginning of the count."""
    try:
        seconds, zone = raw.split()
        minutes = int(zone[-4:-2]) * 60 + int(zone[-2:])
        offset = timedelta(minutes=-minutes if zone.startswith("-") else minutes)
        return datetime.fromtimestamp(int(seconds), timezone(offset))
    except (ValueError, OverflowError, OSError):
        return datetime.fromtimestamp(0, UTC)


def _differences(told: bytes, commits: Iterable[str]) -> Iterator[tuple[FileChange, ...]]:
    """The files of each difference. A commit's id opens it; then two fields, about and path, a file."""
    known = {one.encode("ascii") for one in commits}
    changes: list[FileChange] | None = None
    fields = iter(told.split(b"\0"))
    for field in fields:
        if field.startswith(b":"):
            assert changes is not None
            change = _change(field.decode("ascii"), os.fsdecode(next(fields)))
            if change is not None:
                changes.append(change)
        elif field.strip() in known:
            if changes is not None:
                yield tuple(changes)
            changes = []
    if changes is not None:
        yield tuple(changes)


def _change(about: str, path: str) -> FileChange | None:
    """``:100644 100644 OLD NEW M``; None where no file is on either side, or the same on both."""
    old_mode, new_mode, old, new, _ = about[1:].split(" ")
    before = None if old_mode in (NOTHING, SUBMODULE) else old
    after = None if new_mode in (NOTHING, SUBMODULE) else new
    if before == after and (old_mode == LINK) == (new_mode == LINK):
        return None
    mode = old_mode if after is None else new_mode
    return FileChange(path, before, after, mode, LINK in (old_mode, new_mode))
