"""From two states of the files to all that changed between them. Entry point of the package: `review`."""

from __future__ import annotations

from cfgaudit.checks.finding import Finding, Findings, Severity
from cfgaudit.history.attribution import attribute
from cfgaudit.history.causes import with_findings
from cfgaudit.history.change import Review
from cfgaudit.history.compare import compare_machines
from cfgaudit.history.consequences import with_consequences
from cfgaudit.history.snapshot import Snapshot
from cfgaudit.history.states import States


def review(states: States, before: Snapshot, after: Snapshot) -> Review:
    """Every change from ``before`` to ``after`` with its consequences, the findings that it caused and the
    commits that made it; and what findings came and went.

    Raises SourceError if the main file of one of them cannot be had.
    """
    old, new = states.audit(before), states.audit(after)
    came, went = worse(new.findings, old.findings), without(old.findings, new.findings)
    changes = with_consequences(compare_machines(old.subject, new.subject), old, new)
    changes = with_findings(changes, came, old, new)
    changes = attribute(changes, states, before.revision, after.revision)
    standing = len(new.findings.findings) - len(came)
    return Review(before.revision, after.revision, after.main, changes, came, went, standing)


def worse(findings: Findings, before: Findings) -> tuple[Finding, ...]:
    """The findings that the state before did not have, or had with a lesser severity."""
    known = {one.fingerprint: one.severity.rank for one in before.findings}
    unknown = len(Severity)
    return tuple(one for one in findings.findings if one.severity.rank < known.get(one.fingerprint, unknown))


def without(findings: Findings, others: Findings) -> tuple[Finding, ...]:
    """The findings that the others do not have; lines may move between the two."""
    known = {one.fingerprint for one in others.findings}
    return tuple(one for one in findings.findings if one.fingerprint not in known)
