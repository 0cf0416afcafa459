"""The states of one machine's files: its marks and commits, the git index, the working tree."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from cfgaudit.audit import Audit
from cfgaudit.history.change import Mark, Revision
from cfgaudit.history.git import GitCommit, GitIndex
from cfgaudit.history.marks import PREFIX, read_marks
from cfgaudit.history.repository import Repository
from cfgaudit.history.snapshot import Snapshot, audit_snapshot
from cfgaudit.project import Project
from cfgaudit.source import Source, SourceError

if TYPE_CHECKING:
    from cfgaudit.machine.chips.chip import ChipLibrary

MARK_ONE = "mark one after a good print: cfgaudit mark -m 'what it printed'"


class States:
    """What all commands over git work on. Raises SourceError if the folder lies in no repository."""

    def __init__(
        self,
        working_tree: Source,
        main: str,
        project: Project,
        folder: Path,
        *,
        allowed: tuple[str, ...] = (),
        library: ChipLibrary | None = None,
    ) -> None:
        from cfgaudit.syntax.parse import parse

        self.repository = Repository(folder)
        self.main = main
        self.project = project
        self.folder = folder
        """The main file's folder, as the user may call it."""
        self._working_tree = working_tree
        self._allowed = allowed
        self._library = library
        self._parse = cache(parse)
        self._audits: dict[tuple[str, str], Audit] = {}

    def working_tree(self) -> Snapshot:
        """The files as they are on disk."""
        return Snapshot(Revision("working tree", None), self._working_tree, self.main)

    def staged(self) -> Snapshot:
        """The files as they are in the git index."""
        index = GitIndex(self.repository.folder, self._allowed, repository=self.repository)
        return Snapshot(Revision("git index", None), index, self.main)

    def at(self, revision: str) -> Snapshot:
        """The files as a commit has them. Raises SourceError if the words name none."""
        commit = GitCommit(self.repository.folder, revision, self._allowed, repository=self.repository)
        mark = next((one for one in self.marks() if one.name == revision), None)
        label = revision if mark else commit.label
        return Snapshot(Revision(label, commit.commit, mark.date if mark else None, mark), commit, self.main)

    def marks(self, reachable_from: str | None = None) -> tuple[Mark, ...]:
        """Every mark, newest first."""
        return read_marks(self.repository, reachable_from)

    def last_mark(self) -> Mark:
        """The newest mark that HEAD holds. Raises SourceError if there is none."""
        for mark in self.marks(self.repository.commit("HEAD")):
            return mark
        raise SourceError(f"no commit of this branch is marked ({PREFIX}…): {MARK_ONE}")

    def audit(self, snapshot: Snapshot) -> Audit:
        """The audit of a state, made once."""
        key = (snapshot.revision.label, snapshot.main)
        if key not in self._audits:
            self._audits[key] = audit_snapshot(
                snapshot, self.project, parse=self._parse, library=self._library
            )
        return self._audits[key]
