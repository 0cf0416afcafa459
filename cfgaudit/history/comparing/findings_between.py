"""Which findings came, got worse or went between two states."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable
from typing import TYPE_CHECKING

from cfgaudit.checks.finding import Finding, Findings, Severity

if TYPE_CHECKING:
    from cfgaudit.audit import Audit


def carried(before: Audit, after: Audit) -> Findings:
    """The findings of ``before``; those that ``after`` has under other names have its fingerprints.

    A fingerprint is made of names. A finding is the same where its rule is, and where it is about the same
    parts, settings and files, whatever they are called.
    """
    gone, came = without(before.findings, after.findings), without(after.findings, before.findings)
    rules = {one.rule for one in gone} & {one.rule for one in came}
    if not rules:
        return before.findings
    from cfgaudit.history.comparing.called_alike import named_alike
    from cfgaudit.history.comparing.pairing import pair_machines

    then, now = named_alike(pair_machines(before.subject, after.subject))
    fresh: defaultdict[Hashable, list[str]] = defaultdict(list)
    for one in (one for one in reversed(came) if one.rule in rules):
        fresh[one.rule, now.about(one)].append(one.fingerprint)
    called: dict[str, str] = {}
    for one in (one for one in gone if one.rule in rules):
        if same := fresh.get((one.rule, then.about(one))):
            called[one.fingerprint] = same.pop()
    told = (
        one._replace(fingerprint=called.get(one.fingerprint, one.fingerprint))
        for one in before.findings.findings
    )
    return before.findings._replace(findings=tuple(told))


def worse(findings: Findings, before: Findings) -> tuple[Finding, ...]:
    """The findings that the state before did not have, or had with a lesser severity."""
    known = {one.fingerprint: one.severity.rank for one in before.findings}
    unknown = len(Severity)
    return tuple(one for one in findings.findings if one.severity.rank < known.get(one.fingerprint, unknown))


def without(findings: Findings, others: Findings) -> tuple[Finding, ...]:
    """The findings that the others do not have; lines may move between the two."""
    known = {one.fingerprint for one in others.findings}
    return tuple(one for one in findings.findings if one.fingerprint not in known)
