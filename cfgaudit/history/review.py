"""From two states of the files to all that changed between them. Entry point of the package: `review`."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from cfgaudit.checks.finding import Finding, Severity
from cfgaudit.history.change import Review
from cfgaudit.history.comparing.causes import with_findings
from cfgaudit.history.comparing.compare import compare_machines
from cfgaudit.history.comparing.consequences import with_consequences
from cfgaudit.history.comparing.findings_between import carried, without, worse
from cfgaudit.history.over_time.attribution import attribute
from cfgaudit.history.states.snapshot import Snapshot
from cfgaudit.history.states.states import States


def review(states: States, before: Snapshot, after: Snapshot) -> Review:
    """Every change from ``before`` to ``after`` with its consequences, the findings that it caused and the
    commits that made it; and what findings came and went.

    Raises SourceError if the main file of one of them cannot be had.
    """
    old, new = states.audit(before), states.audit(after)
    known = carried(old, new)
    came, went = worse(new.findings, known), without(known, new.findings)
    changes = with_consequences(compare_machines(old.subject, new.subject), old, new)
    changes = with_findings(changes, came, old, new)
    changes = attribute(changes, states, before.revision, after.revision)
    stood = _severities(new.findings.findings) - _severities(came)
    standing = tuple(stood.elements())
    return Review(before.revision, after.revision, after.main, changes, came, went, len(standing), standing)


def _severities(findings: Iterable[Finding]) -> Counter[Severity]:
    return Counter(one.severity for one in findings)
