"""The states of one machine's files: its marks and commits, the git index, the working tree."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from posixpath import relpath
from typing import TYPE_CHECKING

from cfgaudit.audit import Audit, understand
from cfgaudit.history.change import Mark, Revision
from cfgaudit.history.git.commit_record import author_date
from cfgaudit.history.git.earlier_name import name_in
from cfgaudit.history.git.repository import Repository
from cfgaudit.history.git.sources import GitCommit, GitIndex, GitTree
from cfgaudit.history.states.marks import PREFIX, nearest_mark, read_marks
from cfgaudit.history.states.snapshot import Snapshot, audit_snapshot
from cfgaudit.paths import join
from cfgaudit.project import Project
from cfgaudit.source import Source, SourceError

if TYPE_CHECKING:
    from datetime import datetime

    from cfgaudit.checks.finding import Subject
    from cfgaudit.machine.chips.chip import ChipLibrary

MARK_ONE = "mark one after a good print: cfgaudit mark -m 'what it printed'"


class States:
    """What all commands over git work on. Raises SourceError if the folder lies in no repository.

    ``companions`` are files that say how the configuration is understood (``cfgaudit.toml``), and ``allowed``
    what may be read outside the folder; both relative to it. ``now`` is the time, after which no record of a
    measurement can have been taken; without it none is told to be of the future.
    """

    def __init__(
        self,
        working_tree: Source,
        main: str,
        project: Project,
        folder: Path,
        *,
        allowed: tuple[str, ...] = (),
        companions: tuple[str, ...] = (),
        library: ChipLibrary | None = None,
        now: datetime | None = None,
    ) -> None:
        from cfgaudit.syntax.parse import parse

        self.repository = Repository(folder)
        self.main = main
        self.project = project
        self.folder = folder
        """The main file's folder, as the user may call it."""
        self.companions = companions
        self._working_tree = working_tree
        self.allowed = allowed
        self._library = library
        self.now = now
        self.parse = cache(parse)
        """A parser that remembers, for whoever reads more of the same files."""
        self._staged: GitTree | None = None
        self._commits: dict[str, tuple[GitTree, str]] = {}
        self._marks: dict[str | None, tuple[Mark, ...]] = {}
        self._audits: dict[tuple[int, str], tuple[Source, Audit]] = {}
        self._subjects: dict[tuple[int, str], tuple[Source, Subject]] = {}

    def working_tree(self) -> Snapshot:
        """The files as they are on disk."""
        return Snapshot(Revision("working tree", None), self._working_tree, self.main)

    def staged(self) -> Snapshot:
        """The files as they are in the git index, which is read once."""
        return Snapshot(Revision("git index", None), self.staged_tree(), self.main)

    def staged_tree(self) -> GitTree:
        """What the git index holds, seen from the main file's folder."""
        if self._staged is None:
            self._staged = GitIndex(self.repository.folder, self.allowed, repository=self.repository)
        return self._staged

    def at(self, revision: str) -> Snapshot:
        """The files as a commit has them, wherever the main file was then.

        Raises SourceError if the words name no commit, or if that one has no such main file under any name.
        """
        commit = self.repository.commit(revision)
        mark = self._mark_of(revision, commit)
        named = mark and revision in _names_of(mark)
        label = mark.name if mark and named else self.repository.reference(revision) or f"commit {commit[:7]}"
        date = mark.date if mark else author_date(self.repository, commit)
        tree, main = self._tree(commit)
        return Snapshot(Revision(label, commit, date, mark), tree, main)

    def _mark_of(self, revision: str, commit: str) -> Mark | None:
        """The mark of that name, else the newest on that commit."""
        marks = [one for one in self.marks() if one.commit == commit]
        by_name = (one for one in marks if revision in _names_of(one))
        return next(by_name, marks[0] if marks else None)

    def _tree(self, commit: str) -> tuple[GitTree, str]:
        """What a commit has, seen from the folder that the main file was in, and that file's name there."""
        if commit not in self._commits:
            self._commits[commit] = self._find_tree(commit)
        return self._commits[commit]

    def _find_tree(self, commit: str) -> tuple[GitTree, str]:
        tree = self._open(commit, self.repository.prefix, self.allowed)
        if tree.holds(self.main):
            return tree, self.main
        path = name_in(self.repository, commit, join(self.repository.prefix, self.main))
        prefix, _, main = path.rpartition("/")
        tree = self._open(commit, prefix, self._allowed_from(prefix))
        if tree.holds(main):
            return tree, main
        raise SourceError(self._nowhere(commit))

    def _nowhere(self, commit: str) -> str:
        told = f"{self.main} is not in commit {commit[:7]}, and nothing there was renamed to it"
        if self.staged_tree().holds(self.main):
            return f"{told}: name a revision that has it"
        return f"{told}: git add --all, so that git knows it and what it was called, or name another revision"

    def _open(self, commit: str, prefix: str, allowed: tuple[str, ...]) -> GitTree:
        return GitCommit(self.repository.folder, commit, allowed, repository=self.repository, prefix=prefix)

    def _allowed_from(self, prefix: str) -> tuple[str, ...]:
        """What may be read outside, as seen from another folder: the same places, and the same paths."""
        here = self.repository.prefix
        moved = (relpath(join(here, one), prefix or ".") for one in self.allowed)
        return tuple(dict.fromkeys((*self.allowed, *moved)))

    def marks(self, reachable_from: str | None = None) -> tuple[Mark, ...]:
        """Every mark, newest first; of commits that ``reachable_from`` (a full id) holds if it is given."""
        if reachable_from not in self._marks:
            self._marks[reachable_from] = read_marks(self.repository, reachable_from)
        return self._marks[reachable_from]

    def last_mark(self) -> Mark:
        """Of the marks that HEAD holds the one that no other comes after; the newest of several.

        Raises SourceError if there is none.
        """
        mark = self.find_last_mark()
        if mark is None:
            raise SourceError(self._unmarked())
        return mark

    def find_last_mark(self) -> Mark | None:
        """As `last_mark`; None if there is none, or no commit yet."""
        head = self.repository.head()
        marks = () if head is None else self.marks(head)
        return nearest_mark(self.repository, marks) if marks else None

    def _unmarked(self) -> str:
        if self.repository.head() is None:
            return f"{self.repository.folder} has no commit yet: git commit, then {MARK_ONE}"
        none = f"no commit of this branch is marked ({PREFIX}…)"
        if self.repository.shallow:
            return f"{none}, as far as this clone's history goes: run git fetch --unshallow --tags"
        if others := self.marks():
            return f"{none}, but others are, last {others[0].name}: name that one, or {MARK_ONE}"
        return f"{none}: {MARK_ONE}"

    @property
    def library(self) -> ChipLibrary | None:
        """Where chips are looked up."""
        return self._library

    def audit(self, snapshot: Snapshot) -> Audit:
        """The audit of a state, made once for each source."""
        key = (id(snapshot.source), snapshot.main)
        if key not in self._audits:
            made = audit_snapshot(
                snapshot, self.project, parse=self.parse, library=self._library, now=self.now
            )
            self._audits[key] = snapshot.source, made
        return self._audits[key][1]

    def remember(self, snapshot: Snapshot, audit: Audit) -> None:
        """Take an audit of a state that was made elsewhere, of the same files with the same words."""
        self._audits[id(snapshot.source), snapshot.main] = snapshot.source, audit

    def subject(self, snapshot: Snapshot) -> Subject:
        """What the files of a state mean, without its findings; made once for each source."""
        key = (id(snapshot.source), snapshot.main)
        if key in self._audits:
            return self._audits[key][1].subject
        if key not in self._subjects:
            made = understand(
                snapshot.source, snapshot.main, self.project, self._library, self.parse, self.now
            )
            self._subjects[key] = snapshot.source, made
        return self._subjects[key][1]


def _names_of(mark: Mark) -> tuple[str, ...]:
    return mark.name, f"tags/{mark.name}", f"refs/tags/{mark.name}"
