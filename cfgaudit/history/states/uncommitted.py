"""Which files of a configuration are not as the last commit has them."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.history.git.sources import GitCommit, GitIndex
from cfgaudit.history.states.states import States
from cfgaudit.paths import join, leaves_root
from cfgaudit.source import Source, SourceError
from cfgaudit.tree.resolve import TreeOptions, resolve
from cfgaudit.working_tree import WorkingTree


def uncommitted(states: States, commit: str) -> tuple[str, ...]:
    """The files that differ from a commit on disk or in the index, by path from the main file's folder.

    All that make the configuration on disk, in the index or in the commit (a full id) count, with the files
    that say how it is understood. What the repository cannot hold (outside it, or in a submodule) is left
    out. Line ends are no difference: git may translate them.
    """
    repository, allowed = states.repository, (*states.allowed, *states.companions)
    committed = GitCommit(repository.folder, commit, allowed, repository=repository)
    others = (
        WorkingTree(repository.folder, allowed),
        GitIndex(repository.folder, allowed, repository=repository),
    )
    paths = dict.fromkeys(
        path
        for source in (*others, committed)
        for path in (states.main, *_documents(states, source), *states.companions)
    )
    return tuple(
        path
        for path in paths
        if not leaves_root(join(repository.prefix, path))
        and not committed.in_submodule(path)
        and any(_content(one, path) != _content(committed, path) for one in others)
    )


def _documents(states: States, source: Source) -> Iterator[str]:
    options = TreeOptions(traits=states.project.traits, strangers=False, parse=states.parse)
    try:
        yield from resolve(source, states.main, options).documents
    except SourceError:  # no main file there
        return


def _content(source: Source, path: str) -> bytes | None:
    try:
        return source.read(path).replace(b"\r\n", b"\n")
    except SourceError:
        return None
