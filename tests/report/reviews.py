"""Reviews of two configurations in memory, and of changes made by hand."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime

from cfgaudit.audit import audit_text
from cfgaudit.checks.finding import Finding
from cfgaudit.history.change import Change, Mark, Review, Revision
from cfgaudit.history.comparing.causes import with_findings
from cfgaudit.history.comparing.compare import compare_machines
from cfgaudit.history.comparing.consequences import with_consequences
from cfgaudit.history.comparing.findings_between import without

WHEN = datetime(2026, 11, 10, 8, 5, tzinfo=UTC)
MARK = Mark("good/2026-11-10", "1" * 40, WHEN, "Odile", "a vase, 24 h")
BEFORE = Revision(MARK.name, MARK.commit, WHEN, MARK)
AFTER = Revision("working tree", None)


def made(changes: Sequence[Change] = (), new: Sequence[Finding] = (), gone: Sequence[Finding] = ()) -> Review:
    return Review(BEFORE, AFTER, "stork.ini", tuple(changes), tuple(new), tuple(gone), 0)


def reviewed(before: dict[str, str], after: dict[str, str]) -> Review:
    """As `cfgaudit.history.review.review`, without any commits."""
    old, new = audit_text(before), audit_text(after)
    came, went = without(new.findings, old.findings), without(old.findings, new.findings)
    changes = with_consequences(compare_machines(old.subject, new.subject), old, new)
    changes = with_findings(changes, came, old, new)
    standing = len(new.findings.findings) - len(came)
    return Review(BEFORE, AFTER, next(iter(after)), changes, came, went, standing)
