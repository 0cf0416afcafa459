"""Where bytes come from: a working tree, the git index, a commit, or memory.

A source is rooted at the folder of the main file. Every path that passes through here is relative to
that root, uses ``/`` and is normalised; ``..`` leads outside and is refused unless allowed by name.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Protocol


class SourceError(Exception):
    """Bytes that cannot be had; the message is one line that names the file and what to do."""


class OutsideRoot(SourceError):
    """A path, or the target of a link, that leaves the configuration's root."""


class Source(Protocol):
    """The only door to bytes."""

    @property
    def label(self) -> str:
        """What is read, in words for a report: ``working tree``, ``git index``, ``commit 1a2b3c4`` …"""

    def read(self, path: str) -> bytes:
        """The bytes of the file at ``path``.

        Raises OutsideRoot if path or link leaves the root, SourceError if it is missing, a folder,
        unreadable or larger than the limit.
        """

    def is_file(self, path: str) -> bool:
        """Whether ``path`` names a file (a link counts as what it leads to); never raises."""

    def files(self) -> Iterable[str]:
        """Every file below the root, sorted, hidden folders left out."""
