"""The files of any commit, told from what each commit changed: git is not asked again."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from cfgaudit.history.git.commits import FileChange, Step
from cfgaudit.history.git.repository import Blob

KEPT = 16
"""Trees that are kept at a time."""


class CommitTrees:
    """The trees of a history that begins with its first commits. Submodules are not in them."""

    def __init__(self, steps: Iterable[Step]) -> None:
        self._steps = {step.commit.id: step for step in steps}
        self._kept: dict[str, Mapping[str, Blob]] = {}

    def at(self, commit: str) -> Mapping[str, Blob]:
        """Every path of a commit, given by its full id, from the repository's root."""
        ahead: list[Step] = []
        here = commit
        while here not in self._kept and here in self._steps:
            ahead.append(self._steps[here])
            here = next(iter(ahead[-1].commit.parents), "")
        files = dict(self._kept.get(here, {}))
        for step in reversed(ahead):
            _apply(files, step.against[0])
        if len(self._kept) >= KEPT:
            self._kept.pop(next(iter(self._kept)))
        self._kept[commit] = files
        return files


def _apply(files: dict[str, Blob], changes: Iterable[FileChange]) -> None:
    for one in changes:
        if one.new is None:
            files.pop(one.path, None)
        else:
            files[one.path] = Blob(one.mode, one.new)
