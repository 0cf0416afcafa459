"""The one door to git: what is staged and what was committed, read without running anything of theirs.

Only plumbing that needs no program of a repository's own is used here, and what could start one is switched
off besides (`runner`), so a stranger's repository can be read.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterator, Sequence
from pathlib import Path
from tempfile import TemporaryFile
from typing import NamedTuple

from cfgaudit.history.git.runner import ENVIRONMENT as ENVIRONMENT
from cfgaudit.history.git.runner import SWITCHED_OFF as SWITCHED_OFF
from cfgaudit.history.git.runner import git_in, told
from cfgaudit.source import MEBIBYTE, SIZE_LIMIT, SourceError, check_size

ID = re.compile(r"[0-9a-f]{40}(?:[0-9a-f]{24})?")
REFERENCES = ("refs/heads/", "refs/tags/", "refs/remotes/")
SHOWING_DIFFERENCES = frozenset({"log", "show", "diff", "diff-tree", "diff-index"})
UNCONVERTED = ("--no-ext-diff", "--no-textconv")
SLICE = 4 * MEBIBYTE
"""Of objects that are read in one go."""


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
        self._git = git_in(self.folder)
        bare, shallow, prefix = os.fsdecode(
            self.run("rev-parse", "--is-bare-repository", "--is-shallow-repository", "--show-prefix") + b"\n"
        ).split("\n", 2)
        self.bare = bare == "true"
        self.shallow = shallow == "true"
        """Whether its history is cut off."""
        self.prefix = prefix.rstrip("\n").rstrip("/")
        """The folder as seen from the repository's own root; empty for that root."""
        self.root = self.folder.parents[self.prefix.count("/")] if self.prefix else self.folder
        """The top of the work tree."""

    def run(self, command: str, *words: str, data: bytes | None = None) -> bytes:
        """The output of one git command, which may read ``data``.

        Nothing that looks at the files on disk may be run so (``status``, ``diff`` without two revisions,
        ``ls-files --modified``): it would run the repository's filters. Raises SourceError with git's own
        first line if it fails.
        """
        from git.exc import GitError

        if command in SHOWING_DIFFERENCES:
            words = (*UNCONVERTED, *words)
        plainly = {"stdout_as_string": False, "strip_newline_in_stdout": False}
        try:
            if data is None:
                output = getattr(self._git, command)(*words, **plainly)
            else:
                with TemporaryFile() as file:
                    file.write(data)
                    file.seek(0)
                    output = getattr(self._git, command)(*words, istream=file, **plainly)
        except GitError as error:
            raise SourceError(told(self.folder, str(getattr(error, "stderr", "")))) from error
        return bytes(output)

    def head(self) -> str | None:
        """The full id of the commit that HEAD is; None before the first one."""
        try:
            return self._resolve("HEAD")
        except SourceError:
            return None

    def commit(self, revision: str) -> str:
        """The full id of a commit. Raises SourceError if the words name none."""
        if revision and not set(revision) & set("\0\n\r"):
            try:
                return self._resolve(revision)
            except SourceError as error:
                raise SourceError(self._no_commit(revision)) from error
        raise SourceError(self._no_commit(revision))

    def _resolve(self, revision: str) -> str:
        if ID.fullmatch(revision) and self._type_of(revision) == "commit":
            return revision
        given = ("--verify", "--quiet", "--end-of-options", f"{revision}^{{commit}}")
        name = self.run("rev-parse", *given).decode("ascii", "replace").strip()
        if not ID.fullmatch(name):  # ``^a`` and ``a..b`` are ids with a mark, or several
            raise SourceError(self._no_commit(revision))
        return name

    def _type_of(self, name: str) -> str:
        """The type of an object; empty where it is not there."""
        try:
            return str(self._git.get_object_header(name)[1])
        except ValueError:
            return ""

    def _no_commit(self, revision: str) -> str:
        told = f"{revision!r} names no commit in {self.folder}"
        if revision == "HEAD":
            return f"{told}, which has none yet: git commit first"
        if ".." in revision:
            return f"{told}, but a range: name one commit, or give both, with a space between them"
        if self.shallow:
            return f"{told}, whose history is cut off: run git fetch --unshallow --tags, or name another one"
        return f"{told}: give a branch, a tag or the beginning of an id"

    def reference(self, revision: str) -> str:
        """The short name of the branch or tag that the words are; empty for what is neither."""
        given = ("--verify", "--quiet", "--symbolic-full-name", "--end-of-options", revision)
        try:
            name = os.fsdecode(self.run("rev-parse", *given)).strip("\n")
        except SourceError:
            return ""
        kind = next((one for one in REFERENCES if name.startswith(one)), "")
        return name.removeprefix(kind) if kind and revision not in ("HEAD", "@") else ""

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

    def read_object(self, name: str) -> tuple[str, bytes]:
        """An object's type (``commit``, ``tag`` …) and its bytes. Raises SourceError if it is missing."""
        try:
            check_size(f"git's object {name}", self._git.get_object_header(name)[2])
            _, kind, _, data = self._git.get_object_data(name)
        except (ValueError, OSError) as error:
            raise SourceError(
                f"git does not have the object {name}: run git fsck in {self.folder}"
            ) from error
        return kind, data

    def summary(self, commit: str) -> str:
        """The first line of a commit's message; the commit by its full id."""
        message = self.read_object(commit)[1].decode("utf-8", "surrogateescape").partition("\n\n")[2]
        return message.strip().partition("\n")[0]

    def id_of(self, content: bytes) -> str:
        """The id that a blob with this content has; nothing is written."""
        return self.run("hash-object", "--stdin", data=content).decode("ascii").strip()

    def keep(self, content: bytes) -> str:
        """The id of a blob with this content, which git has from now on."""
        return self.run("hash-object", "-w", "--stdin", data=content).decode("ascii").strip()

    def blobs(self, names: Sequence[str]) -> Iterator[tuple[str, bytes]]:
        """Many objects' bytes, unfiltered; what is missing or too large is left out.

        One process serves hundreds of objects, where `blob` asks for each.
        """
        if not names:
            return
        asked = "".join(f"{name}\n" for name in names).encode("ascii")
        told = self.run("cat-file", "--buffer", "--batch-check=%(objectname) %(objectsize)", data=asked)
        for some in _slices(told.decode("ascii")):
            asked = "".join(f"{one}\n" for one in some).encode("ascii")
            data = self.run("cat-file", "--buffer", "--batch", data=asked)
            at = 0
            while at < len(data):
                end = data.index(b"\n", at)
                name, _, size = data[at:end].decode("ascii").split(" ")
                at = end + 1 + int(size)
                yield name, data[end + 1 : at]
                at += 1


def _slices(told: str) -> Iterator[list[str]]:
    """Ids and sizes, one a line, as lists of ids that are `SLICE` bytes together, or one object alone."""
    some: list[str] = []
    total = 0
    for name, size in (line.split(" ") for line in told.splitlines()):
        if not size.isdigit() or int(size) > SIZE_LIMIT:  # ``missing``
            continue
        if some and total + int(size) > SLICE:
            yield some
            some, total = [], 0
        some.append(name)
        total += int(size)
    if some:
        yield some


def _records(output: bytes) -> Iterator[tuple[str, str]]:
    """What git says of each path, and the path, which may hold anything but a NUL."""
    for record in filter(None, output.split(b"\0")):
        about, _, path = record.partition(b"\t")
        yield about.decode("ascii"), os.fsdecode(path)
