"""What ``check`` compares with: the findings of another revision, and the changes since the last mark."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from cfgaudit.cli.failure import UsageError
from cfgaudit.cli.opening import Opened
from cfgaudit.cli.states import open_states, state_at
from cfgaudit.source import SourceError

if TYPE_CHECKING:
    from cfgaudit.audit import Audit
    from cfgaudit.checks.finding import Findings
    from cfgaudit.history.change import Review
    from cfgaudit.history.states.snapshot import Snapshot
    from cfgaudit.history.states.states import States

LAST_MARK = "last-mark"


class Past:
    """The states of a configuration whose audit is made. Raises SourceError if it lies in no repository."""

    def __init__(self, opened: Opened, found: Audit, *, rev: str | None, staged: bool) -> None:
        self.states: States = open_states(os.path.join(opened.folder, opened.main))
        self.states.project = opened.project
        self._found = found
        self._rev = rev
        self._staged = staged

    def now(self) -> Snapshot:
        """The state that is checked."""
        if self._staged:
            return self.states.staged()
        return self.states.working_tree() if self._rev is None else self.states.at(self._rev)

    def knowing(self, since: str) -> tuple[Findings, str]:
        """The findings, what a revision had, no less grave, marked as known; and what that is called."""
        from cfgaudit.history.comparing.findings_between import carried, worse

        before = state_at(self.states, self.states.last_mark().name if since == LAST_MARK else since)
        findings = self._found.findings
        had = carried(self.states.audit(before), self._found)
        new = {one.fingerprint for one in worse(findings, had)}
        told = tuple(one._replace(known=one.fingerprint not in new) for one in findings.findings)
        return findings._replace(findings=told), before.revision.label

    def changes(self) -> Review | None:
        """All that changed since the last mark that HEAD holds; None if there is none."""
        from cfgaudit.history.review import review

        mark = self.states.find_last_mark()
        if mark is None:
            return None
        now = self.now()
        if now.main == self._found.tree.main:
            self.states.remember(now, self._found)
        return review(self.states, self.states.at(mark.name), now)


def recent_changes(opened: Opened, found: Audit, *, rev: str | None, staged: bool) -> Review | str:
    """All that changed since the last mark; or one sentence that says why nobody can tell."""
    from cfgaudit.history.states.states import MARK_ONE

    try:
        changes = Past(opened, found, rev=rev, staged=staged).changes()
    except (SourceError, UsageError) as error:
        return f"What changed since the last mark cannot be told: {error}."
    return changes or f"No commit of this branch is marked, so no changes are listed: {MARK_ONE}."
