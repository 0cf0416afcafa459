"""Which findings came, got worse or went between two states."""

from __future__ import annotations

from cfgaudit.checks.finding import Finding, Findings, Severity


def worse(findings: Findings, before: Findings) -> tuple[Finding, ...]:
    """The findings that the state before did not have, or had with a lesser severity."""
    known = {one.fingerprint: one.severity.rank for one in before.findings}
    unknown = len(Severity)
    return tuple(one for one in findings.findings if one.severity.rank < known.get(one.fingerprint, unknown))


def without(findings: Findings, others: Findings) -> tuple[Finding, ...]:
    """The findings that the others do not have; lines may move between the two."""
    known = {one.fingerprint for one in others.findings}
    return tuple(one for one in findings.findings if one.fingerprint not in known)
