"""Writing several files so that all of them are new, or none."""

from __future__ import annotations

import os
import stat
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import suppress
from pathlib import Path
from typing import NamedTuple
from uuid import uuid4

from cfgaudit.paths import leaves_root, normalise

HIDDEN = ".cfgaudit-"
"""What temporary names begin with: no pattern of an include matches a hidden file."""


class RewriteError(OSError):
    """What cannot be written; the message is one line that names the file and what to do."""


class Rewrite(NamedTuple):
    """The bytes that a file had when it was read, and those that it gets."""

    before: bytes
    after: bytes


class _Staged(NamedTuple):
    """One file on its way: the file itself with links followed, its new content, and a way back."""

    path: str
    real: str
    fresh: str
    spare: str


class _Stuck(Exception):  # noqa: N818 - it never leaves this module
    """Files that could not be put back."""

    def __init__(self, told: str, left: list[_Staged]) -> None:
        super().__init__(told)
        self.left = left


def rewrite(root: Path, files: Mapping[str, Rewrite]) -> None:
    """Give every file, by path below ``root``, its new bytes.

    Each is replaced in one step, with its permissions kept; a link stays and what it leads to is replaced.
    Raises RewriteError if a file is not as it was read, lies outside the root or in git's own folder, or
    cannot be written. Then every file is as before.
    """
    staged: list[_Staged] = []
    try:
        for path, content in files.items():
            staged.append(_stage(path, _real(root, path), content))
        for one in staged:
            _check_unchanged(one.path, one.real, files[one.path].before)
        _replace_all(staged)
    except _Stuck as stuck:
        staged = [one for one in staged if one not in stuck.left]
        raise RewriteError(str(stuck)) from stuck
    finally:
        for name in (name for one in staged for name in (one.fresh, one.spare)):
            with suppress(OSError):
                os.unlink(name)


def _real(root: Path, path: str) -> str:
    """The file that a path leads to. Raises RewriteError where nobody has given leave to write."""
    base = os.path.realpath(root)
    real = os.path.realpath(os.path.join(base, path))
    inside = normalise(os.path.relpath(real, base).replace(os.sep, "/"))
    if leaves_root(normalise(path)) or leaves_root(inside):
        raise RewriteError(f"{path} lies outside the main file's folder and is not written: edit it by hand")
    if any(name.casefold() == ".git" for name in Path(real).parts):
        raise RewriteError(f"{path} lies in git's own folder and is not written: move it")
    return real


def _stage(path: str, real: str, content: Rewrite) -> _Staged:
    """The new content beside the file, on the disk already, and a second name for the old one."""
    _check_unchanged(path, real, content.before)
    if not os.access(real, os.W_OK):
        raise RewriteError(f"{path} may not be written: change its permissions or its owner")
    made: list[str] = []
    try:
        fresh = _beside(real, content.after, made)
        return _Staged(path, real, fresh, _second_name(real, content.before, made))
    except OSError as error:
        for name in made:
            with suppress(OSError):
                os.unlink(name)
        raise _refused(path, error) from error


def _beside(real: str, data: bytes, made: list[str]) -> str:
    """A hidden file in the same folder with this content and the file's permissions and owner."""
    handle, name = tempfile.mkstemp(prefix=HIDDEN, suffix=".tmp", dir=os.path.dirname(real))
    made.append(name)
    with os.fdopen(handle, "wb") as file:
        file.write(data)
        _dress(name, os.stat(real))
        file.flush()
        os.fsync(file.fileno())
    return name


def _dress(name: str, like: os.stat_result) -> None:
    """The owner first: changing it may take permissions away. Who may not keep the owner keeps the rest."""
    if hasattr(os, "chown"):
        with suppress(OSError):
            os.chown(name, like.st_uid, like.st_gid)
    os.chmod(name, stat.S_IMODE(like.st_mode))


def _second_name(real: str, data: bytes, made: list[str]) -> str:
    """The old file under a hidden name; a copy where the disk has no second names."""
    name = os.path.join(os.path.dirname(real), f"{HIDDEN}{uuid4().hex}.tmp")
    try:
        os.link(real, name)
    except OSError:
        return _beside(real, data, made)
    made.append(name)
    return name


def _check_unchanged(path: str, real: str, before: bytes) -> None:
    try:
        found = Path(real).read_bytes() if stat.S_ISREG(os.stat(real).st_mode) else None
    except OSError as error:
        raise _refused(path, error) from error
    if found != before:
        raise RewriteError(f"{path} was changed meanwhile, nothing is written: run it again")


def _replace_all(staged: list[_Staged]) -> None:
    """Put the new files in the old ones' places; if one cannot be, the others go back to theirs."""
    done: list[_Staged] = []
    try:
        for one in staged:
            done.append(one)
            os.replace(one.fresh, one.real)
        _settle(staged)
    except BaseException as error:
        _go_back(done)
        if isinstance(error, OSError):
            raise _refused(done[-1].path, error) from error
        raise


def _go_back(done: list[_Staged]) -> None:
    """Raises _Stuck where a file cannot be put back: what it was is kept under its second name."""
    left: list[_Staged] = []
    for one in reversed(done):
        try:
            if not os.path.lexists(one.fresh):
                os.replace(one.spare, one.real)
        except OSError:
            left.append(one)
    if left:
        names = ", ".join(f"{one.path} (in {one.spare})" for one in left)
        raise _Stuck(f"neither new nor old can be written; what these files were is kept: {names}", left)


def _settle(staged: list[_Staged]) -> None:
    """See that the folders' new entries outlive a power cut, where the system can."""
    for folder in {os.path.dirname(one.real) for one in staged}:
        for handle in _opened(folder):
            with suppress(OSError):
                os.fsync(handle)


def _opened(folder: str) -> Iterator[int]:
    try:
        handle = os.open(folder, os.O_RDONLY | getattr(os, "O_DIRECTORY", 0))
    except OSError:
        return
    try:
        yield handle
    finally:
        os.close(handle)


def _refused(path: str, error: OSError) -> RewriteError:
    if isinstance(error, RewriteError):
        return error
    return RewriteError(
        f"{path} cannot be written ({error.strerror}), nothing is changed: check its folder's permissions "
        "and its disk"
    )
