"""The gate before a restart: what is new since the last mark and must not pass unseen."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from cfgaudit.checks.finding import Finding, Findings, Severity
from cfgaudit.history.change import Change, Review, Revision
from cfgaudit.history.gating.acceptance import Acceptance

if TYPE_CHECKING:
    from cfgaudit.history.states.snapshot import Snapshot

NOTHING = Revision("nothing", None)
"""What there is to compare with where nothing is marked."""


class Verdict(NamedTuple):
    """Whether a restart may go ahead. What blocks it stands the worst first."""

    review: Review
    fail_at: Severity
    findings: tuple[Finding, ...]
    """Those that block: new, and at or above ``fail_at``."""
    changes: tuple[Change, ...]
    """Those that block: dangers that nobody has accepted."""
    accepted: tuple[Change, ...]
    """Dangers that do not block, because their owner has accepted them."""
    acceptance: Acceptance | None
    """What was said about exactly this content, whether it covers everything or not."""

    @property
    def passes(self) -> bool:
        return not (self.findings or self.changes)

    @property
    def marked(self) -> bool:
        """Whether there is a mark to compare with."""
        return self.review.before is not NOTHING


def judge(review: Review, fail_at: Severity, acceptance: Acceptance | None) -> Verdict:
    """The verdict on all that changed since a mark.

    What was known at the mark never blocks, nor does a change without effect. An acceptance covers dangerous
    changes, not findings: those are mended, or allowed in place with a reason.
    """
    findings = sorted(
        (one for one in review.new if one.severity.rank <= fail_at.rank), key=lambda one: one.severity.rank
    )
    dangers = [one for one in review.changes if one.effective and one.severity is Severity.DANGER]
    accepted = [one for one in dangers if acceptance is not None and acceptance.covers(one)]
    blocking = [one for one in dangers if one not in accepted]
    return Verdict(review, fail_at, tuple(findings), tuple(blocking), tuple(accepted), acceptance)


def unmarked(after: Snapshot, findings: Findings) -> Review:
    """All that can be said where no mark is: every finding is new, and nothing is known to have changed."""
    return Review(NOTHING, after.revision, after.main, (), findings.findings, (), 0)
