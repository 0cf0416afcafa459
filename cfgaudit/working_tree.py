"""The files on disk."""

from __future__ import annotations

import errno
import os
import stat
from collections.abc import Callable, Iterable
from itertools import islice
from pathlib import Path

from cfgaudit.listing import FILES_AT_MOST, walk
from cfgaudit.paths import Allowance, join, leaves_root, normalise
from cfgaudit.source import (
    SIZE_LIMIT,
    OutsideRoot,
    SourceError,
    check_size,
    is_a_folder,
    leads_back,
    missing,
    outside,
)

ABSENT = {errno.ENOENT, errno.ENOTDIR, errno.ENAMETOOLONG, errno.EINVAL}
OPENING = os.O_RDONLY
for flag in ("O_NONBLOCK", "O_CLOEXEC", "O_NOFOLLOW", "O_BINARY"):  # not every system has every one
    OPENING |= getattr(os, flag, 0)


class WorkingTree:
    """The files below a folder, and those outside it that ``allowed`` names (paths relative to it, globs)."""

    def __init__(self, root: Path, allowed: tuple[str, ...] = ()) -> None:
        self._given = os.path.abspath(root)
        self._root = os.path.realpath(root)
        self._allowance = Allowance(allowed)
        self._folders: dict[str, tuple[str, ...] | None] = {}
        self._reals: dict[str, str] = {}

    @property
    def label(self) -> str:
        return "working tree"

    def read(self, path: str) -> bytes:
        path = normalise(path)
        try:
            return _read_regular(self._real(path, self._allowance.admits), path)
        except OSError as error:
            raise _told(path, error) from error
        except ValueError as error:  # a NUL, or a letter that no file name can hold
            raise missing(path) from error

    def is_file(self, path: str) -> bool:
        try:
            return stat.S_ISREG(os.stat(self._real(normalise(path), self._allowance.admits)).st_mode)
        except (OSError, ValueError, SourceError):
            return False

    def folder(self, path: str) -> tuple[str, ...] | None:
        path = normalise(path)
        if path not in self._folders:
            self._folders[path] = self._list(path)
        return self._folders[path]

    def files(self) -> Iterable[str]:
        return walk(self, FILES_AT_MOST).files

    def locate(self, path: str) -> str:
        return located(path, self._given, self._root)

    def _real(self, path: str, admits: Callable[[str], bool]) -> str:
        """The path on disk with every link followed. Raises OutsideRoot, ValueError for what is no path.

        ``admits`` decides what may be outside. A link may be allowed by its own name or by what it leads to.
        """
        if leaves_root(path) and not admits(path):
            raise outside(path)
        real = self._reals.get(path)
        if real is None:
            real = self._reals[path] = os.path.realpath(os.path.join(self._root, path))
        inside = _from_root(real, self._root)
        if leaves_root(inside) and not (admits(path) or admits(inside) or admits(real)):
            raise outside(path, leads_to=real)
        return real

    def _list(self, path: str) -> tuple[str, ...] | None:
        try:
            with os.scandir(self._real(path, self._allowance.leads_to)) as entries:
                names = (self._name(path, entry) for entry in islice(entries, FILES_AT_MOST))
                return tuple(sorted(name for name in names if name))
        except (OSError, ValueError, SourceError):
            return None

    def _name(self, folder: str, entry: os.DirEntry[str]) -> str:
        """A folder's name with a ``/``; nothing for a link to a folder that the link itself lies in.

        A link that leaves the root is not asked what it leads to.
        """
        if not entry.is_symlink():
            return entry.name + ("/" if entry.is_dir() else "")
        try:
            real = self._real(join(folder, entry.name), self._allowance.leads_to)
        except OutsideRoot:
            return entry.name
        if not os.path.isdir(real):
            return entry.name
        here = os.path.realpath(os.path.dirname(entry.path))
        return "" if (here + os.sep).startswith(real.rstrip(os.sep) + os.sep) else entry.name + "/"


def located(path: str, *roots: str) -> str:
    """``path`` normalised; relative to the first of the roots (absolute paths) that it lies below."""
    path = normalise(path)
    if os.path.isabs(path):
        inside = (_from_root(os.path.normpath(path), root) for root in roots)
        return next((one for one in inside if not leaves_root(one)), path)
    return path


def _from_root(path: str, root: str) -> str:
    """An absolute path as seen from the root; one on another drive stays absolute."""
    if path.startswith(root + os.sep):
        return path[len(root) + 1 :].replace(os.sep, "/")
    try:
        return normalise(os.path.relpath(path, root).replace(os.sep, "/"))
    except ValueError:
        return "/" + path.replace(os.sep, "/")


def _read_regular(real: str, path: str) -> bytes:
    """The bytes of a regular file that is not too large.

    Opening a pipe or a device may wait or act, so we look first; the file may change, so we look again.
    """
    _check_regular(os.stat(real), path)
    handle = os.open(real, OPENING)
    try:
        _check_regular(os.fstat(handle), path)
        with os.fdopen(handle, "rb", closefd=False) as file:
            data = file.read(SIZE_LIMIT + 1)
        check_size(path, len(data))
        return data
    finally:
        os.close(handle)


def _check_regular(status: os.stat_result, path: str) -> None:
    if stat.S_ISDIR(status.st_mode):
        raise is_a_folder(path)
    if not stat.S_ISREG(status.st_mode):
        raise SourceError(f"{path} is no regular file (a device, a pipe or a socket): name a text file")
    check_size(path, status.st_size)


def _told(path: str, error: OSError) -> SourceError:
    """What went wrong, in words."""
    if error.errno in ABSENT:
        return missing(path)
    if error.errno in (errno.EACCES, errno.EPERM):
        return SourceError(f"{path} may not be read by this user: change its permissions or its owner")
    if error.errno == errno.ELOOP:
        return leads_back(path)
    return SourceError(f"{path} cannot be read ({error.strerror}): check the file and its disk")
