"""The one door to git: what is staged and what was committed, read without running anything of theirs.

A repository's configuration can name programs (hooks, filters, text converters, a file system monitor,
transports). Only plumbing that needs none of them is used here, and what could start one is switched off
besides, so a stranger's repository can be read.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from cfgaudit.source import SourceError, check_size

if TYPE_CHECKING:
    from git.cmd import Git

SWITCHED_OFF = (
    "core.fsmonitor=false",
    f"core.hooksPath={os.devnull}",
    "core.sshCommand=false",
    "log.showSignature=false",
)
ENVIRONMENT = {
    "GIT_ALLOW_PROTOCOL": "none",  # what a partial clone lacks is never fetched, whatever its remote says
    "GIT_NO_LAZY_FETCH": "1",
    "GIT_OPTIONAL_LOCKS": "0",
    "GIT_TERMINAL_PROMPT": "0",
}


class Blob(NamedTuple):
    """One path of a commit or of the index."""

    mode: str
    """As git writes it: ``100644``, ``120000`` for a link …"""
    name: str
    """The object's id."""
    conflict: bool = False


class Repository:
    """The repository that a folder lies in. Raises SourceError if there is none, or no git.

    One ``git cat-file`` keeps running for all objects, so keep one of these for many commits.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder.resolve()
        self._git = _git_in(self.folder)
        self.prefix = os.fsdecode(self.run("rev-parse", "--show-prefix")).rstrip("\n").rstrip("/")
        """The folder as seen from the repository's own root; empty for that root."""

    def run(self, command: str, *words: str) -> bytes:
        """The output of one git command. Raises SourceError with git's own first line if it fails."""
        from git.exc import GitError

        try:
            output = getattr(self._git, command)(
                *words, stdout_as_string=False, strip_newline_in_stdout=False
            )
        except GitError as error:
            raise SourceError(_told(self.folder, str(getattr(error, "stderr", "")))) from error
        return bytes(output)

    def commit(self, revision: str) -> str:
        """The full id of a commit. Raises SourceError if the words name none."""
        told = (
            f"{revision!r} names no commit in {self.folder}: give a branch, a tag or the beginning of an id"
        )
        if not revision or set(revision) & set("\0\n\r"):
            raise SourceError(told)
        try:
            name = self.run("rev-parse", "--verify", "--quiet", "--end-of-options", revision + "^{commit}")
        except SourceError as error:
            raise SourceError(told) from error
        return name.decode("ascii").strip()

    def staged(self) -> Iterator[tuple[str, Blob]]:
        """Every path of the index, from the repository's root."""
        for about, path in _records(self.run("ls-files", "--stage", "--full-name", "-z", "--", ":/")):
            mode, name, stage = about.split()
            yield path, Blob(mode, name, conflict=stage != "0")

    def committed(self, commit: str) -> Iterator[tuple[str, Blob]]:
        """Every path of a commit, given by its full id, from the repository's root."""
        for about, path in _records(self.run("ls-tree", "-r", "-z", "--full-tree", commit)):
            mode, _, name = about.split()
            yield path, Blob(mode, name)

    def blob(self, name: str, path: str) -> bytes:
        """The bytes of an object, unfiltered. Raises SourceError if it is too large or not there."""
        try:
            check_size(path, self._git.get_object_header(name)[2])
            return self._git.get_object_data(name)[3]
        except (ValueError, OSError) as error:
            raise SourceError(
                f"git does not have the content of {path}: run git fsck in {self.folder}"
            ) from error


def _git_in(folder: Path) -> Git:
    """GitPython's runner, in a folder that exists: in one that does not it would run wherever we are."""
    if not (folder.is_dir() and os.access(folder, os.X_OK)):
        raise SourceError(f"{folder} is no folder that can be entered: name a folder in a git repository")
    try:
        from git.cmd import Git
    except ImportError as error:
        raise SourceError(
            "git is not installed: install it, or read the files as they are on disk"
        ) from error
    git = Git(folder)
    git.set_persistent_git_options(c=list(SWITCHED_OFF), no_pager=True)
    git.update_environment(**ENVIRONMENT)
    return git


def _records(output: bytes) -> Iterator[tuple[str, str]]:
    """What git says of each path, and the path, which may hold anything but a NUL."""
    for record in filter(None, output.split(b"\0")):
        about, _, path = record.partition(b"\t")
        yield about.decode("ascii"), os.fsdecode(path)


def _told(folder: Path, stderr: str) -> str:
    """GitPython's account of a failure as one line."""
    lines = [line.strip(" '") for line in stderr.splitlines() if line.strip(" '")]
    first = lines[0].removeprefix("stderr: '").removeprefix("fatal: ") if lines else "it gives no reason"
    if "not a git repository" in first:
        return (
            f"{folder} lies in no git repository: run git init there, or read the files as they are on disk"
        )
    return f"git cannot read {folder}: {first}"
