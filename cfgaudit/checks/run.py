"""Running rules: from a subject to its findings."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from typing import NamedTuple

from cfgaudit.checks.allowances import Allowance, check_allowances, read_allowances, split_allowed
from cfgaudit.checks.finding import Finding, Findings, Problem, Severity, Skip, Skipped, Subject
from cfgaudit.checks.fingerprint import number_fingerprints
from cfgaudit.checks.rule import Rule

OnFault = Callable[[Rule, Exception], Skipped]


class Found(NamedTuple):
    """A problem and the rule that found it."""

    rule: Rule
    problem: Problem


def skip_fault(rule: Rule, fault: Exception) -> Skipped:
    """A fault of ours in one rule must not cost the findings of the others."""
    return Skipped(rule.name, f"internal fault: {type(fault).__name__}: {fault}")


def raise_fault(rule: Rule, fault: Exception) -> Skipped:
    """For tests: a fault is a failure."""
    fault.add_note(f"in the rule {rule.name}")
    raise fault


def run_rules(
    subject: Subject,
    rules: Iterable[Rule],
    *,
    known: Collection[str] = (),
    on_fault: OnFault = skip_fault,
) -> Findings:
    """What the rules find, less what is allowed in place, in order of file and place.

    ``known`` are the names of rules that exist though they do not run (switched off); an allowance may name
    them. ``on_fault`` says what becomes of a rule whose check raises.
    """
    by_name = {rule.name: rule for rule in rules}
    found, skipped = _run_checks(subject, by_name.values(), on_fault)
    findings = _to_findings(subject, found)
    names = {*by_name, *known}
    if allowances := tuple(read_allowances(subject.tree.documents.values(), names)):
        ran = by_name.keys() - {one.rule for one in skipped}
        findings = _allow(subject, findings, allowances, by_name, names, ran)
    return Findings(tuple(findings), tuple(skipped))


def _run_checks(
    subject: Subject, rules: Iterable[Rule], on_fault: OnFault
) -> tuple[list[Found], list[Skipped]]:
    found: list[Found] = []
    skipped: list[Skipped] = []
    for rule in rules:
        if rule.check is None:
            continue  # about allowances: these are found at the end
        try:
            yielded = list(rule.check(subject, rule.limits))
        except Exception as fault:
            skipped.append(on_fault(rule, fault))
            continue
        found += [Found(rule, one) for one in yielded if isinstance(one, Problem)]
        reasons = dict.fromkeys(one.reason for one in yielded if isinstance(one, Skip))
        skipped += [Skipped(rule.name, reason) for reason in reasons]
    return found, skipped


def _allow(
    subject: Subject,
    findings: Sequence[Finding],
    allowances: Sequence[Allowance],
    rules: Mapping[str, Rule],
    names: Collection[str],
    ran: Collection[str],
) -> list[Finding]:
    """The findings that are not allowed, and those about the allowances themselves."""
    allowed, used = split_allowed(findings, allowances)
    own = [
        Found(rules[rule], problem)
        for rule, problem in check_allowances(allowances, used, names, ran)
        if rule in rules
    ]
    kept = [one for one in findings if one not in allowed]
    return _sorted(subject, [*kept, *_to_findings(subject, own)])


def _to_findings(subject: Subject, found: Iterable[Found]) -> list[Finding]:
    """The findings in order, fingerprinted."""
    order = _file_order(subject)
    ranked = sorted(found, key=lambda one: (order(one.problem.place.file), one.problem.place, one.rule.name))
    identities = ((one.rule.name, one.problem.subject) for one in ranked)
    return [
        _finding(one, digest) for one, digest in zip(ranked, number_fingerprints(identities), strict=True)
    ]


def _finding(found: Found, fingerprint: str) -> Finding:
    rule, problem = found
    return Finding(
        rule=rule.name,
        severity=_lower(rule.severity, problem.severity),
        concern=rule.concern,
        message=problem.message,
        where=problem.place,
        related=problem.related,
        advice=problem.advice if problem.advice is not None else rule.fill(rule.advice),
        fingerprint=fingerprint,
        subject=found.problem.subject,
    )


def _lower(ruled: Severity, asked: Severity | None) -> Severity:
    return ruled if asked is None or asked.rank < ruled.rank else asked


def _sorted(subject: Subject, findings: Iterable[Finding]) -> list[Finding]:
    order = _file_order(subject)
    return sorted(findings, key=lambda one: (order(one.where.file), one.where, one.rule))


def _file_order(subject: Subject) -> Callable[[str], int]:
    """The files in reading order, then all others."""
    positions = {path: index for index, path in enumerate(subject.tree.documents)}
    return lambda file: positions.get(file, len(positions))
