"""What ``check`` compares with: the findings of another revision, and the changes since the last mark."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from cfgaudit.cli.failure import UsageError
from cfgaudit.cli.opening import Opened
from cfgaudit.cli.states import open_states, state_at
from cfgaudit.source import SourceError

if TYPE_CHECKING:
    from cfgaudit.checks.finding import Findings
    from cfgaudit.history.change import Review
    from cfgaudit.history.snapshot import Snapshot
    from cfgaudit.history.states import States

LAST_MARK = "last-mark"


class Past:
    """The states of a configuration that is checked. Raises SourceError if it lies in no repository."""

    def __init__(self, opened: Opened, *, rev: str | None, staged: bool) -> None:
        self.states: States = open_states(os.path.join(opened.folder, opened.main))
        self.states.project = opened.project
        self._rev = rev
        self._staged = staged

    def now(self) -> Snapshot:
        """The state that is checked."""
        if self._staged:
            return self.states.staged()
        return self.states.working_tree() if self._rev is None else self.states.at(self._rev)

    def knowing(self, findings: Findings, since: str) -> tuple[Findings, str]:
        """The findings, those of a revision marked as known; and what that revision is called."""
        before = state_at(self.states, self.states.last_mark().name if since == LAST_MARK else since)
        known = {one.fingerprint for one in self.states.audit(before).findings.findings}
        told = tuple(one._replace(known=one.fingerprint in known) for one in findings.findings)
        return findings._replace(findings=told), before.revision.label

    def changes(self) -> Review | None:
        """All that changed since the last mark that HEAD holds; None if there is none."""
        from cfgaudit.history.review import review

        mark = self.states.find_last_mark()
        return None if mark is None else review(self.states, self.states.at(mark.name), self.now())


def recent_changes(opened: Opened, *, rev: str | None, staged: bool) -> Review | str:
    """All that changed since the last mark; or one sentence that says why nobody can tell."""
    from cfgaudit.history.states import MARK_ONE

    try:
        found = Past(opened, rev=rev, staged=staged).changes()
    except (SourceError, UsageError) as error:
        return f"What changed since the last mark cannot be told: {error}."
    return found or f"No commit of this branch is marked, so no changes are listed: {MARK_ONE}."
