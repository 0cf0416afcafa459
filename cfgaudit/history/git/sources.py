"""The git index and a commit as sources."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from posixpath import relpath

from cfgaudit.history.git.repository import Blob, Repository
from cfgaudit.listing import FILES_AT_MOST, folders_of, walk
from cfgaudit.paths import Allowance, join, leaves_root, normalise
from cfgaudit.source import SourceError, is_a_folder, leads_back, missing, outside
from cfgaudit.working_tree import located

LINK, SUBMODULE = "120000", "160000"
Read = Callable[[str, str], bytes]
"""From a blob's id, and a path for people, to its bytes."""
LINKS_AT_MOST = 40
"""Links in a row, as Linux has it (path_resolution(7))."""


class GitTree:
    """Files as git holds them, seen from one folder of its repository. A link leads to what git holds.

    ``prefix`` is that folder as seen from the repository's root; without it the one that the repository was
    opened in. ``read`` may know the bytes of blobs already.
    """

    def __init__(
        self,
        repository: Repository,
        blobs: Iterable[tuple[str, Blob]],
        label: str,
        allowed: tuple[str, ...],
        prefix: str | None = None,
        read: Read | None = None,
    ) -> None:
        self._repository = repository
        self._read = read or repository.blob
        self.prefix = repository.prefix if prefix is None else prefix
        self._label = label
        self._allowance = Allowance(allowed)
        self._blobs = dict(self._from_folder(blobs))
        self._folders = folders_of(path for path, blob in self._blobs.items() if blob.mode != SUBMODULE)

    @property
    def label(self) -> str:
        return self._label

    def read(self, path: str) -> bytes:
        path = normalise(path)
        real = self._follow(path, self._allowance.admits)
        if real in self._folders:
            raise is_a_folder(path)
        blob = self._blobs.get(real)
        if blob is None:
            raise missing(path)
        if blob.conflict:
            raise SourceError(
                f"{path} has an unresolved conflict in the git index: resolve it and add the file"
            )
        if blob.mode == SUBMODULE:
            raise SourceError(f"{path} is another repository (a submodule): name a file of this one")
        return self._read(blob.name, path)

    def is_file(self, path: str) -> bool:
        try:
            blob = self._blobs.get(self._follow(normalise(path), self._allowance.admits))
        except SourceError:
            return False
        return blob is not None and blob.mode != SUBMODULE

    def folder(self, path: str) -> tuple[str, ...] | None:
        try:
            real = self._follow(normalise(path), self._allowance.leads_to)
        except SourceError:
            return None
        names = self._folders.get(real)
        return None if names is None else tuple(filter(None, (self._shown(real, name) for name in names)))

    def files(self) -> Iterable[str]:
        return walk(self, FILES_AT_MOST).files

    def locate(self, path: str) -> str:
        return located(path, str(self._repository.root / self.prefix))

    def real(self, path: str) -> str:
        """Where a path leads by links, as seen from the folder; the path itself where that cannot be told."""
        try:
            return self._follow(normalise(path), self._allowance.admits)
        except SourceError:
            return path

    def holds(self, path: str) -> bool:
        """Whether something has exactly this path, a link included that leads nowhere."""
        return normalise(path) in self._blobs

    def in_submodule(self, path: str) -> bool:
        """Whether a path lies in another repository, which this one only names."""
        names = normalise(path).split("/")
        above = ("/".join(names[:length]) for length in range(1, len(names)))
        return any(one in self._blobs and self._blobs[one].mode == SUBMODULE for one in above)

    def same_files(self, other: GitTree) -> bool:
        """Whether the other one holds the same bytes under the same paths."""
        return self._blobs == other._blobs

    def _from_folder(self, blobs: Iterable[tuple[str, Blob]]) -> Iterator[tuple[str, Blob]]:
        """The paths as seen from the folder; those outside it only if any of them could be allowed."""
        prefix = self.prefix
        start = f"{prefix}/" if prefix else ""
        for path, blob in blobs:
            if path.startswith(start):
                yield path[len(start) :], blob
            elif self._allowance:
                yield relpath(path, prefix), blob

    def _follow(self, path: str, admits: Callable[[str], bool]) -> str:
        """The path with every link followed. ``admits`` decides what may be outside."""
        if leaves_root(path) and not admits(path):
            raise outside(path)
        real, ahead, links = "", path.split("/") if path else [], 0
        while ahead:
            here = join(real, ahead.pop(0))
            if (blob := self._blobs.get(here)) is None or blob.mode != LINK:
                real = here
                continue
            links += 1
            if links > LINKS_AT_MOST:
                raise leads_back(path)
            target = os.fsdecode(self._read(blob.name, here))
            led = self.locate(join(real, target))
            if leaves_root(led) and not (admits(path) or admits(led)):
                raise outside(path, leads_to=target)
            real, ahead = "", [*led.split("/"), *ahead] if led else ahead
        return real

    def _shown(self, folder: str, name: str) -> str:
        """A name as ``folder`` gives it: a link to a folder is one, unless it lies in what it leads to."""
        blob = self._blobs.get(join(folder, name))
        if blob is None or blob.mode != LINK:
            return name
        try:
            real = self._follow(join(folder, name), self._allowance.leads_to)
        except SourceError:
            return name
        if real not in self._folders:
            return name
        inside = not real or f"{folder}/".startswith(f"{real}/")
        return "" if inside else f"{name}/"


class GitIndex(GitTree):
    """What is staged, below a folder of a work tree. ``allowed`` as for the working tree."""

    def __init__(
        self, root: Path, allowed: tuple[str, ...] = (), *, repository: Repository | None = None
    ) -> None:
        repository = repository or Repository(root)
        super().__init__(repository, repository.staged(), "git index", allowed)


class GitCommit(GitTree):
    """One commit, below a folder of a work tree: ``root``, or what was ``prefix`` in the repository then.

    Raises SourceError if ``revision`` names no commit.
    """

    def __init__(
        self,
        root: Path,
        revision: str,
        allowed: tuple[str, ...] = (),
        *,
        repository: Repository | None = None,
        prefix: str | None = None,
    ) -> None:
        repository = repository or Repository(root)
        self.commit = repository.commit(revision)
        """The commit's full id."""
        blobs = repository.committed(self.commit)
        super().__init__(repository, blobs, f"commit {self.commit[:7]}", allowed, prefix)
