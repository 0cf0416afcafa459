"""The states between two revisions, one after the other, so that they can be tried in order."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Set
from typing import NamedTuple

from cfgaudit.history.change import Commit, Revision
from cfgaudit.history.git.commits import read_commits
from cfgaudit.history.git.repository import Repository
from cfgaudit.source import SourceError


class Stop(NamedTuple):
    """One state on the way. ``brings`` are the full ids of the commits that it has and the stop before it has
    not: its own, and those that a merge brought; none for the working tree."""

    revision: Revision
    summary: str = ""
    brings: frozenset[str] = frozenset()


def line_between(repository: Repository, since: str, until: Revision) -> tuple[Stop, ...]:
    """The states after the commit ``since`` (a full id) up to ``until``, oldest first.

    Where branches were merged, the line follows the first parents that come from ``since``. What is in no
    commit, the working tree or the index, comes last. Raises SourceError if ``until`` does not come from
    ``since``.
    """
    last = until.commit or repository.commit("HEAD")
    if repository.run("rev-list", "--max-count=1", since, f"^{last}").strip():
        raise SourceError(
            f"{until.label} does not come from {since[:7]}, so nothing lies between them: "
            "name a FROM that it comes from"
        )
    stops = _stops(repository, since, last)
    return stops if until.commit else (*stops, Stop(until))


def _stops(repository: Repository, since: str, last: str) -> tuple[Stop, ...]:
    between = f"{since}..{last}"
    commits = {one.id: one for one in read_commits(repository, between)}
    told = repository.run("rev-list", "--ancestry-path", between).decode("ascii")
    chain = list(_chain(commits, set(told.split()), last))[::-1]
    known = set[str]()
    return tuple(
        Stop(Revision(f"commit {one.short}", one.id), one.summary, frozenset(_new(commits, one.id, known)))
        for one in chain
    )


def _chain(commits: Mapping[str, Commit], coming: Set[str], commit: str) -> Iterator[Commit]:
    """From the newest back, always to the first parent that comes from the start, as ``coming`` do."""
    here: str | None = commit if commit in coming else None
    while here is not None:
        yield commits[here]
        here = next((one for one in commits[here].parents if one in coming), None)


def _new(commits: Mapping[str, Commit], commit: str, known: set[str]) -> Iterator[str]:
    """The commit and those before it that are not ``known`` yet, and now are."""
    ahead = [commit]
    while ahead:
        one = ahead.pop()
        if one in commits and one not in known:
            known.add(one)
            yield one
            ahead += commits[one].parents
