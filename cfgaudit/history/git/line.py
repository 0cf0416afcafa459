"""The states between two revisions, one after the other, so that they can be tried in order."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from cfgaudit.history.change import Revision
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
    if repository.run("rev_list", "--max-count=1", since, f"^{last}").strip():
        raise SourceError(
            f"{until.label} does not come from {since[:7]}, so nothing lies between them: "
            "name a FROM that it comes from"
        )
    stops = _stops(repository, since, last)
    return stops if until.commit else (*stops, Stop(until))


def _stops(repository: Repository, since: str, last: str) -> tuple[Stop, ...]:
    parents = _parents(repository, f"{since}..{last}")
    chain = list(_chain(_parents(repository, "--ancestry-path", f"{since}..{last}"), last))[::-1]
    summaries, known = _summaries(repository, since, last), set[str]()
    return tuple(
        Stop(Revision(f"commit {one[:7]}", one), summaries.get(one, ""), frozenset(_new(parents, one, known)))
        for one in chain
    )


def _parents(repository: Repository, *words: str) -> Mapping[str, list[str]]:
    listed = repository.run("rev_list", "--topo-order", "--parents", *words).decode("ascii")
    return {line.split()[0]: line.split()[1:] for line in listed.splitlines()}


def _summaries(repository: Repository, since: str, last: str) -> Mapping[str, str]:
    listed = repository.run("log", "--format=%H%x00%s", f"{since}..{last}").decode("utf-8", "replace")
    return dict(line.split("\0", 1) for line in listed.splitlines() if "\0" in line)


def _chain(parents: Mapping[str, list[str]], commit: str) -> Iterator[str]:
    """From the newest back, always to the first parent that comes from the start."""
    here: str | None = commit if commit in parents else None
    while here is not None:
        yield here
        here = next((one for one in parents[here] if one in parents), None)


def _new(parents: Mapping[str, list[str]], commit: str, known: set[str]) -> Iterator[str]:
    """The commit and those before it that are not ``known`` yet, and now are."""
    ahead = [commit]
    while ahead:
        one = ahead.pop()
        if one in parents and one not in known:
            known.add(one)
            yield one
            ahead += parents[one]
