"""Listing what a source holds, nearest folders first, and never more than is useful."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from cfgaudit.source import Source

FILES_AT_MOST = 20_000
"""Files and folders looked at in one listing. A whole home folder has more; a configuration never has."""
DEPTH_AT_MOST = 64
"""Folders within folders. Links can make a folder endlessly deep."""


class Listing(NamedTuple):
    """Sorted paths; ``complete`` is False where the listing stopped early."""

    files: tuple[str, ...]
    complete: bool


def walk(source: Source, most: int) -> Listing:
    """Every file below the root of a source, hidden folders left out, folder by folder from the root down."""
    found: list[str] = []
    seen = 0
    waiting = deque([("", 0)])
    while waiting:
        folder, depth = waiting.popleft()
        for name in source.folder(folder.rstrip("/")) or ():
            seen += 1
            if seen > most:
                return Listing(tuple(sorted(found)), complete=False)
            if not name.endswith("/"):
                found.append(folder + name)
            elif not name.startswith(".") and depth < DEPTH_AT_MOST:
                waiting.append((folder + name, depth + 1))
    return Listing(tuple(sorted(found)), complete=True)


def folders_of(files: Iterable[str]) -> dict[str, tuple[str, ...]]:
    """What ``Source.folder`` gives for every folder that these files lie in; the root is always there."""
    folders: dict[str, set[str]] = {"": set()}
    for path in files:
        entry, ending = path, ""
        while entry not in ("", "/"):
            folder, _, name = entry.rpartition("/")
            names = folders.setdefault(folder or ("/" if entry.startswith("/") else ""), set())
            if name == ".." or name + ending in names:
                break
            names.add(name + ending)
            entry, ending = folder, "/"
    return {folder: tuple(sorted(names)) for folder, names in folders.items()}
