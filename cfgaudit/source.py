"""Where bytes come from: a working tree, the git index, a commit, or memory.

A source is rooted at the folder of the main file. Every path that passes through here is relative to
that root, uses ``/`` and is normalised; ``..`` leads outside and is refused unless allowed by name.
This module holds what every source has in common and the two that need no file system.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Protocol

from cfgaudit.listing import FILES_AT_MOST, folders_of, walk
from cfgaudit.paths import Allowance, leaves_root, normalise

MEBIBYTE = 1024 * 1024
SIZE_LIMIT = 16 * MEBIBYTE
"""Bytes in one file. Configuration files are a thousandth of this."""

BINARY_CONTROLS = bytes(set(range(32)) - set(b"\t\n\v\f\r\x1a\x1b"))


class SourceError(Exception):
    """Bytes that cannot be had; the message is one line that names the file and what to do."""


class OutsideRoot(SourceError):  # noqa: N818 - the name says what is wrong
    """A path, or the target of a link, that leaves the configuration's root."""


class MissingFile(SourceError):  # noqa: N818
    """Nothing has this path."""


class IsFolder(SourceError):  # noqa: N818
    """A folder where a file is needed."""


class LeadsBack(SourceError):  # noqa: N818
    """A link that leads back to itself."""


class TooLarge(SourceError):  # noqa: N818
    """A file that is larger than any configuration."""


class Source(Protocol):
    """The only door to bytes."""

    @property
    def label(self) -> str:
        """What is read, in words for a report: ``working tree``, ``git index``, ``commit 1a2b3c4`` …"""

    def read(self, path: str) -> bytes:
        """The bytes of the file at ``path``.

        Raises OutsideRoot if path or link leaves the root, MissingFile if nothing is there, IsFolder if it is
        a folder, TooLarge if it is larger than the limit, SourceError if it is no regular file or unreadable.
        """

    def is_file(self, path: str) -> bool:
        """Whether ``path`` names a file (a link counts as what it leads to); never raises."""

    def folder(self, path: str) -> tuple[str, ...] | None:
        """The names in a folder, sorted, those of folders with a ``/`` at the end; None if it is no folder.

        A link counts as what it leads to; one that leaves the root is named like a file and not followed.
        What leaves the root counts as no folder unless something below it is allowed. Never raises.
        """

    def files(self) -> Iterable[str]:
        """Every file below the root, sorted, hidden folders left out; the nearest 20,000 of very many."""

    def locate(self, path: str) -> str:
        """A path as this source knows it: an absolute path that lies below the root becomes relative."""


def outside(path: str, leads_to: str = "") -> OutsideRoot:
    """The error for a path that leaves the root, by a link to ``leads_to`` if that is given."""
    where = "outside the main file's folder"
    how = f"is a link to {leads_to}, {where}," if leads_to else f"lies {where}"
    return OutsideRoot(
        f"{path} {how} and is not read: move the file below that folder, or allow it by name in cfgaudit.toml"
    )


def missing(path: str) -> MissingFile:
    """The error for a path that nothing has."""
    return MissingFile(f"{path} does not exist: check the spelling and the folder")


def is_a_folder(path: str) -> IsFolder:
    """The error for a folder where a file is needed."""
    return IsFolder(f"{path or 'this path'} is a folder: name a file in it")


def leads_back(path: str) -> LeadsBack:
    """The error for a link that leads back to itself."""
    return LeadsBack(f"{path} is a link that leads back to itself: replace it by the file")


def check_size(path: str, size: int) -> None:
    """Raise TooLarge if a file of ``size`` bytes is too large to be a configuration."""
    if size > SIZE_LIMIT:
        raise TooLarge(
            f"{path} is {size / MEBIBYTE:.0f} MiB; configuration files are small text files, "
            "so this looks like the wrong file: name another one"
        )


def check_text(path: str, data: bytes) -> None:
    """Raise SourceError if these bytes are no text.

    A stray NUL or a comment in an old code page is text still; a file in UTF-16 is told apart, because
    its owner can save it again. The thresholds are common practice, no source.
    """
    if data.startswith((b"\xff\xfe", b"\xfe\xff")) and b"\0" in data:
        raise SourceError(f"{path} is written in UTF-16, which firmware does not read: save it as UTF-8")
    controls = len(data) - len(data.translate(None, BINARY_CONTROLS))
    if (controls >= 8 and controls * 50 > len(data)) or _mostly_undecodable(data):
        raise SourceError(f"{path} is a binary file, not a text: name a text file that holds a configuration")


def _mostly_undecodable(data: bytes) -> bool:
    """More than nine bytes in ten: text in an old code page has more spaces, digits and marks than that."""
    if len(data) < 64 or data.isascii():
        return False
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        text = data.decode("utf-8", "surrogateescape")
        return sum("\udc80" <= letter <= "\udcff" for letter in text) * 10 > len(data) * 9
    return False


class Memory:
    """Files that are held in memory: an editor's buffers, standard input, a test."""

    def __init__(
        self, files: Mapping[str, bytes], label: str = "memory", allowed: tuple[str, ...] = ()
    ) -> None:
        self._files = {normalise(path): data for path, data in files.items()}
        self._folders = folders_of(self._files)
        self._label = label
        self._allowance = Allowance(allowed)

    @property
    def label(self) -> str:
        return self._label

    def read(self, path: str) -> bytes:
        path = normalise(path)
        self._refuse_outside(path)
        if path in self._files:
            check_size(path, len(self._files[path]))
            return self._files[path]
        raise is_a_folder(path) if path in self._folders else missing(path)

    def is_file(self, path: str) -> bool:
        path = normalise(path)
        return path in self._files and (not leaves_root(path) or self._allowance.admits(path))

    def folder(self, path: str) -> tuple[str, ...] | None:
        path = normalise(path)
        barred = leaves_root(path) and not self._allowance.leads_to(path)
        return None if barred else self._folders.get(path)

    def files(self) -> Iterable[str]:
        return walk(self, FILES_AT_MOST).files

    def locate(self, path: str) -> str:
        return normalise(path)

    def _refuse_outside(self, path: str) -> None:
        if leaves_root(path) and not self._allowance.admits(path):
            raise outside(path)


class Overlay:
    """Some files in memory over another source: one that an editor has not saved, or standard input."""

    def __init__(self, base: Source, files: Mapping[str, bytes], label: str = "") -> None:
        self._base = base
        self._top = Memory(files, label or base.label)

    @property
    def label(self) -> str:
        return self._top.label

    def read(self, path: str) -> bytes:
        return (self._top if self._top.is_file(path) else self._base).read(path)

    def is_file(self, path: str) -> bool:
        return self._top.is_file(path) or self._base.is_file(path)

    def folder(self, path: str) -> tuple[str, ...] | None:
        below = self._base.folder(path)
        above = self._top.folder(path)
        if below is None or above is None:
            return above if below is None else below
        return tuple(sorted({*below, *above}))

    def files(self) -> Iterable[str]:
        return walk(self, FILES_AT_MOST).files

    def locate(self, path: str) -> str:
        return self._base.locate(path)
