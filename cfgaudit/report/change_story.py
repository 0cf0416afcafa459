"""What is told with which change, so that nothing is told twice: shared by every report for people."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

from cfgaudit.checks.finding import Finding, Severity
from cfgaudit.history.change import Change, ChangeKind
from cfgaudit.report.fact_words import Clause, clauses
from cfgaudit.tree.names import fold_name


class Told(NamedTuple):
    """One change, and what stands under it."""

    change: Change
    clauses: tuple[str, ...]
    """What it comes to, as clauses without full stops."""
    shared: tuple[str, ...]
    """The addresses of the changes under which the rest of what it comes to, or caused, is told."""
    findings: tuple[Finding, ...]
    """Those that it caused and that are not told before."""


class Story(NamedTuple):
    """All changes of a report in the order of telling."""

    concerns: Mapping[str, Sequence[Told]]
    machine: Sequence[Change]
    """What the machine wrote itself and is no danger."""
    without_effect: Sequence[Change]
    findings: tuple[Finding, ...]
    """Findings that are new and told under no change."""


def tell(changes: Sequence[Change], new: Iterable[Finding]) -> Story:
    """The changes by concern, in their order, each with what is told under it."""
    idle = [one for one in changes if not one.effective]
    machine = [one for one in changes if one.effective and _is_machines(one)]
    apart = {id(one) for one in (*idle, *machine)}
    concerns: defaultdict[str, list[Told]] = defaultdict(list)
    teller = _Teller()
    for one in changes:
        if id(one) not in apart:
            concerns[one.concern].append(teller.told(one))
    rest = tuple(one for one in new if one.fingerprint not in teller.findings)
    return Story(concerns, machine, idle, rest)


def _is_machines(change: Change) -> bool:
    return change.author == "machine" and change.severity is not Severity.DANGER and not change.findings


class _Teller:
    """Remembers under which change each fact and finding was told."""

    def __init__(self) -> None:
        self.findings: dict[str, str] = {}
        self._facts: dict[str, str] = {}

    def told(self, change: Change) -> Told:
        shared: dict[str, None] = {}
        mine: list[Clause] = []
        for clause in _worth_telling(change):
            known = self._facts.setdefault(clause.fact, change.address)
            if known == change.address:
                mine.append(clause)
            else:
                shared[known] = None
        findings = []
        for finding in sorted(change.findings, key=lambda one: one.severity.rank):
            known = self.findings.setdefault(finding.fingerprint, change.address)
            if known == change.address:
                findings.append(finding)
            else:
                shared[known] = None
        return Told(change, tuple(_grouped(mine, change)), tuple(shared), tuple(findings))


def _worth_telling(change: Change) -> Sequence[Clause]:
    """A part that went as a whole has no facts any more, which nobody needs to be told."""
    consequences = change.consequences
    if not change.setting and change.kind is ChangeKind.REMOVED:
        consequences = tuple(one for one in consequences if one.after is not None)
    return clauses(consequences)


def _grouped(said: Iterable[Clause], change: Change) -> Iterator[str]:
    """Each clause once, with the parts that it holds for where the change does not name them itself."""
    parts: defaultdict[str, list[str]] = defaultdict(list)
    for one in said:
        parts[one.text].append(one.part)
    for text, names in parts.items():
        foreign = [name for name in names if not _names(change, name)]
        yield f"{' and '.join(foreign)}: {text}" if foreign else text


def _names(change: Change, part: str) -> bool:
    """Whether a change's address already says which part is meant."""
    kind, _, label = part.partition(" ")
    if kind == "axis" and change.axis == label:
        return True
    return fold_name(label) in fold_name(change.section)
