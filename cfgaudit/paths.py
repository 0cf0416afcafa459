"""Paths as they stand in configurations: relative to a root, with ``/``, on every system alike."""

from __future__ import annotations

import posixpath
import re
import unicodedata
from collections.abc import Sequence
from functools import lru_cache

BACKUPS = ("~", ".bak", ".old", ".orig", ".rej", ".swp", ".tmp")


def normalise(path: str) -> str:
    """``a//./b/../c/`` to ``a/c``; the root itself is the empty text; a leading ``..`` or ``/`` stays."""
    if not path:
        return ""
    normal = posixpath.normpath(path)
    if normal.startswith("//"):
        normal = normal[1:]
    return "" if normal == "." else normal


def join(folder: str, path: str) -> str:
    """``path`` as seen from ``folder``, normalised. An absolute ``path`` stays absolute."""
    return normalise(posixpath.join(folder, path))


def leaves_root(path: str) -> bool:
    """Whether a normalised path is outside by its spelling alone."""
    return path == ".." or path.startswith(("../", "/"))


def is_hidden(path: str) -> bool:
    """Whether the file or any folder on the way to it is hidden."""
    return any(name.startswith(".") and name != ".." for name in path.split("/"))


def is_backup(path: str) -> bool:
    """Whether the name is one that editors and version control give to copies they leave behind."""
    name = posixpath.basename(path)
    return name.lower().endswith(BACKUPS) or (name.startswith("#") and name.endswith("#"))


def is_wild(path: str) -> bool:
    """Whether a path holds ``*`` or ``?``."""
    return "*" in path or "?" in path


def alike(name: str) -> str:
    """The form in which names are equal that some file systems hold for one: case and accents' encoding."""
    return name.lower() if name.isascii() else composed(composed(name).casefold())


def composed(name: str) -> str:
    """A name with its accents in one encoding: some file systems give back another than they were given."""
    return name if name.isascii() else unicodedata.normalize("NFC", name)


class Pattern:
    """A glob over whole paths, matched one name at a time so that only folders that matter are listed.

    ``*`` and ``?`` stay within a name, ``**`` as a whole name stands for any number of folders. Hidden
    names are matched only by a name in the pattern that begins with a dot itself. A *state* is the set of
    places in the pattern that the names so far have reached; an empty one can match nothing any more.
    """

    def __init__(self, pattern: str) -> None:
        names = composed(pattern).split("/") if pattern else []
        self.names = [*names, "*"] if names and names[-1] == "**" else names

    def start(self) -> frozenset[int]:
        return self._spread({0})

    def step(self, state: frozenset[int], name: str) -> frozenset[int]:
        """The state after one more name."""
        name = composed(name)
        reached: set[int] = set()
        for place in state:
            if place == len(self.names):
                continue
            wanted = self.names[place]
            if wanted == "**":
                if not name.startswith("."):
                    reached.add(place)
            elif _fits(wanted, name):
                reached.add(place + 1)
        return self._spread(reached)

    def complete(self, state: frozenset[int]) -> bool:
        """Whether the names so far are a whole match."""
        return len(self.names) in state

    def _spread(self, state: set[int]) -> frozenset[int]:
        for place in sorted(state):
            while place < len(self.names) and self.names[place] == "**":
                place += 1
                state.add(place)
        return frozenset(state)


class Allowance:
    """What outside the root may be read: paths relative to it or absolute, globs, or whole folders."""

    def __init__(self, patterns: Sequence[str] = ()) -> None:
        self._patterns = [Pattern(normalise(pattern)) for pattern in patterns]

    def __bool__(self) -> bool:
        return bool(self._patterns)

    def admits(self, path: str) -> bool:
        """Whether a pattern names this path or a folder that it lies in."""
        return any(self._walk(pattern, path)[0] for pattern in self._patterns)

    def leads_to(self, folder: str) -> bool:
        """Whether something below this folder may be admitted, or the folder is."""
        return any(
            admitted or state for admitted, state in (self._walk(one, folder) for one in self._patterns)
        )

    @staticmethod
    def _walk(pattern: Pattern, path: str) -> tuple[bool, frozenset[int]]:
        state = pattern.start()
        for name in path.split("/"):
            state = pattern.step(state, name)
            if pattern.complete(state):
                return True, state
        return False, state


@lru_cache(maxsize=256)
def _glob(pattern: str) -> re.Pattern[str]:
    """Between stars the first fit is as good as any, so no fit is tried twice (the atomic groups)."""
    first, *rest = (re.escape(piece).replace(r"\?", ".") for piece in re.split(r"\*+", pattern))
    middle = "".join(f"(?>.*?{piece})" for piece in rest[:-1])
    return re.compile(f"{first}{middle}.*{rest[-1]}" if rest else first, re.DOTALL)


def _fits(wanted: str, name: str) -> bool:
    if not is_wild(wanted):
        return wanted == name
    if name.startswith(".") and not wanted.startswith("."):
        return False
    return _glob(wanted).fullmatch(name) is not None
