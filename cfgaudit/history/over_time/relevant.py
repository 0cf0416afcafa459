"""Which files of a repository are, or once were, part of a configuration."""

from __future__ import annotations

import os
import posixpath
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from typing import Protocol

from cfgaudit.history.over_time.passages import Passage
from cfgaudit.paths import Pattern, alike, is_wild, join
from cfgaudit.source import SourceError
from cfgaudit.working_tree import located

Versions = Mapping[str, Collection[str]]
"""Paths from the repository's root, and the ids of all the blobs that each had."""


class Reads(Protocol):
    """What reads blobs."""

    def load(self, blobs: Mapping[str, str]) -> Mapping[str, tuple[Passage, ...]]:
        """What blobs say; they are given by ids, each with a path for people."""

    def data(self, name: str, path: str) -> bytes:
        """The bytes of one blob. Raises SourceError."""


class Relevant:
    """The files that a main file includes in any version, those that they include, and so on.

    ``links`` are paths that were symbolic links: all that they led to counts. A path that is included in a
    way that only the source can tell (another case) may be named too often, never too seldom.
    """

    def __init__(self, versions: Versions, links: Iterable[str], texts: Reads, root: str = "") -> None:
        self._versions = versions
        self._texts = texts
        self._root = root
        """The repository's own, for includes by absolute paths."""
        self._links = [path for path in links if path in versions]
        self._by_form: dict[str, list[str]] = {}
        self._by_folder: dict[str, list[str]] = {}
        for path in versions:
            form = alike(path)
            self._by_form.setdefault(form, []).append(path)
            self._by_folder.setdefault(posixpath.dirname(form), []).append(path)

    def closure(self, start: Iterable[str]) -> frozenset[str]:
        """All paths that the given ones lead to, these included."""
        found: set[str] = set()
        ahead = {*start, *self._links, *self._behind_links()}
        while ahead:
            found |= ahead
            ahead = {one for target in self._targets(ahead) for one in self._led_to(*target)} - found
        return frozenset(found)

    def _targets(self, paths: Iterable[str]) -> set[tuple[str, str, bool]]:
        """The folder of each file, and the target of each of its directives in any version."""
        blobs = {name: path for path in paths for name in self._versions.get(path, ())}
        said = self._texts.load(blobs)
        return {
            (posixpath.dirname(path), target, folder)
            for path in paths
            for name in self._versions.get(path, ())
            for passage in said.get(name, ())
            for target, folder in passage.includes
        }

    def _led_to(self, folder: str, target: str, is_folder: bool) -> Iterator[str]:
        """The paths that a directive may mean."""
        written = target.strip()
        for spelled in dict.fromkeys((written, written.replace("\\", "/"))):
            wanted = located(join(folder, spelled), self._root) if self._root else join(folder, spelled)
            form = alike(wanted)
            if is_wild(form):
                yield from self._matches(Pattern(form), is_folder=is_folder)
            else:
                yield from self._by_form.get(form, ())
                yield from self._by_folder.get(form, ())

    def _matches(self, pattern: Pattern, *, is_folder: bool) -> Iterator[str]:
        for form, paths in self._by_form.items():
            names = form.split("/")
            if _fits(pattern, names[:-1] if is_folder else names):
                yield from paths

    def _behind_links(self) -> Iterator[str]:
        """What links led to, and everything in the folders that they led to."""
        for path in self._links:
            for name in self._versions[path]:
                target = join(posixpath.dirname(path), self._target(name, path))
                yield from (one for one in self._versions if f"{one}/".startswith(f"{target}/"))

    def _target(self, name: str, path: str) -> str:
        try:
            return os.fsdecode(self._texts.data(name, path))
        except SourceError:
            return ""


def _fits(pattern: Pattern, names: Sequence[str]) -> bool:
    state = pattern.start()
    for name in names:
        state = pattern.step(state, name)
    return pattern.complete(state)
