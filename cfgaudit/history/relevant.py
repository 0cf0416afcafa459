"""Which files of a repository are, or once were, part of a configuration."""

from __future__ import annotations

import posixpath
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

from cfgaudit.history.passages import Passage
from cfgaudit.paths import Pattern, alike, is_wild, join

Versions = Mapping[str, Sequence[str]]
"""Paths from the repository's root, and the ids of all the blobs that each had."""
Read = Callable[[Mapping[str, str]], Mapping[str, tuple[Passage, ...]]]
"""From the ids of blobs, each with a path for people, to what they say."""


class Relevant:
    """The files that a main file includes in any version, those that they include, and so on.

    ``links`` are symbolic links, and what they lead to. A path that is included in a way that only the
    source can tell (another case, a link on the way) may be named too often, never too seldom.
    """

    def __init__(self, versions: Versions, links: Mapping[str, str], read: Read) -> None:
        self._versions = versions
        self._links = links
        self._read = read
        self._by_form: dict[str, list[str]] = {}
        for path in versions:
            self._by_form.setdefault(alike(path), []).append(path)

    def closure(self, start: Iterable[str]) -> frozenset[str]:
        """All paths that the given ones lead to, these included."""
        found: set[str] = set()
        ahead = set(start)
        while ahead:
            found |= ahead
            blobs = {name: path for path in ahead for name in self._versions.get(path, ())}
            targets = {
                (path, target, folder)
                for name, path in blobs.items()
                for path in (path,)
                for passage in self._read(blobs).get(name, ())
                for target, folder in passage.includes
            }
            led = {one for path, target, folder in targets for one in self._led_to(path, target, folder)}
            led |= {self._links[path] for path in found & self._links.keys()}
            ahead = led - found
        return frozenset(found)

    def _led_to(self, path: str, target: str, folder: bool) -> Iterator[str]:
        """The paths that a directive may mean."""
        written = target.strip()
        for spelled in dict.fromkeys((written, written.replace("\\", "/"))):
            yield from self._paths(join(posixpath.dirname(path), spelled), folder=folder)

    def _paths(self, wanted: str, *, folder: bool) -> Iterator[str]:
        if is_wild(wanted):
            pattern = Pattern(alike(wanted))
            for path in self._versions:
                names = alike(path).split("/")
                if _fits(pattern, names[:-1] if folder else names):
                    yield path
            return
        form = alike(wanted)
        yield from self._by_form.get(form, ())
        below = f"{form}/" if form else ""
        for path in self._versions:
            if alike(posixpath.dirname(path)) == form and alike(path).startswith(below):
                yield path


def _fits(pattern: Pattern, names: Sequence[str]) -> bool:
    state = pattern.start()
    for name in names:
        state = pattern.step(state, name)
    return pattern.complete(state)
