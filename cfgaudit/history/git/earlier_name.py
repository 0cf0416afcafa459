"""What a file was called in another commit, as git's own detection of renames sees it."""

from __future__ import annotations

import os
from collections.abc import Iterator
from itertools import islice

from cfgaudit.history.git.repository import Repository

RENAMES = ("-z", "--name-status", "--diff-filter=R", "-M", "-l0")
"""git's own threshold: half of the content is the same (git-diff(1), ``-M``); all files are looked at."""


def name_in(repository: Repository, commit: str, path: str) -> str:
    """What the file ``path`` of today was called in a commit, if that has it at all.

    Paths count from the repository's root. Today is the index: a file that was renamed with ``git mv`` and
    not committed yet has its name there.
    """
    head = repository.head()
    if head is None:
        return path
    staged = dict(_renames(repository, "diff-index", "--cached", *RENAMES, head))
    path = staged.get(path, path)
    direct = _between(repository, commit, head).get(path)
    return direct or _step_by_step(repository, commit, head, path)


def _between(repository: Repository, old: str, new: str) -> dict[str, str]:
    """New names and old ones, where the two commits are compared with nothing between them."""
    return dict(_renames(repository, "diff-tree", "-r", *RENAMES, old, new))


def _step_by_step(repository: Repository, commit: str, head: str, name: str) -> str:
    """The name as it went from commit to commit: back to where both have parted, then forward again."""
    for new, old in _renames(repository, "log", "--format=", "--topo-order", *RENAMES, head, f"^{commit}"):
        name = old if name == new else name
    forward = ("--format=", "--topo-order", "--reverse", *RENAMES, commit, f"^{head}")
    for new, old in _renames(repository, "log", *forward):
        name = new if name == old else name
    return name


def _renames(repository: Repository, command: str, *words: str) -> Iterator[tuple[str, str]]:
    """New and old name of every rename that git tells."""
    fields = (os.fsdecode(one) for one in repository.run(command, *words, "--").split(b"\0"))
    for field in fields:
        if field.startswith("R"):
            old, new = islice(fields, 2)
            yield new, old
