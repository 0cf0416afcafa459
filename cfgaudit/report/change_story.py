"""What is told with which change, so that nothing is told twice: shared by every report for people."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

from cfgaudit.checks.finding import Finding, Severity
from cfgaudit.history.change import Change, ChangeKind
from cfgaudit.report.change_words import title_text
from cfgaudit.report.fact_words import Clause, clauses
from cfgaudit.report.lines import one_line
from cfgaudit.tree.names import fold_name

FEW = 2
"""So many other changes are named where several have a part in something."""


class Told(NamedTuple):
    """One change, and what stands under it."""

    change: Change
    clauses: tuple[str, ...]
    """What it comes to, as clauses without full stops."""
    elsewhere: tuple[str, ...]
    """The changes under which the rest of what it comes to, or caused, is told."""
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
    shown = [one for one in changes if id(one) not in apart]
    teller = _Teller(shown)
    for one in shown:
        concerns[one.concern].append(teller.told(one))
    rest = tuple(one for one in new if one.fingerprint not in teller.findings)
    return Story(concerns, machine, idle, rest)


def _is_machines(change: Change) -> bool:
    return change.author == "machine" and change.severity is not Severity.DANGER and not change.findings


class _Teller:
    """Remembers under which change each fact and finding was told."""

    def __init__(self, changes: Iterable[Change]) -> None:
        self.findings: dict[str, Change] = {}
        self._facts: dict[str, Change] = {}
        self._movers: defaultdict[str, list[Change]] = defaultdict(list)
        for change in changes:
            for one in change.consequences:
                self._movers[one.fact].append(change)

    def told(self, change: Change) -> Told:
        elsewhere: dict[str, None] = {}
        mine: list[Clause] = []
        for clause in _worth_telling(change):
            teller = self._facts.setdefault(clause.fact, change)
            if teller is change:
                mine.append(clause)
            else:
                elsewhere[_seen_from(change, teller)] = None
        findings = []
        for finding in sorted(change.findings, key=lambda one: one.severity.rank):
            teller = self.findings.setdefault(finding.fingerprint, change)
            if teller is change:
                findings.append(finding)
            else:
                elsewhere[_seen_from(change, teller)] = None
        return Told(change, tuple(self._grouped(mine, change)), tuple(elsewhere), tuple(findings))

    def _grouped(self, said: Iterable[Clause], change: Change) -> Iterator[str]:
        """Each clause once, with the parts that it holds for where the change does not name them itself, and
        the other changes that have a part in it."""
        facts: defaultdict[str, list[Clause]] = defaultdict(list)
        for one in said:
            facts[one.text].append(one)
        said_already = ""
        for text, alike in facts.items():
            foreign = [one.part for one in alike if not _names(change, one.part)]
            whose = f"{' and '.join(foreign)}: " if foreign else ""
            together = self._together(change, alike[0].fact)
            yield f"{whose}{text}{together if together != said_already else ''}"
            said_already = together

    def _together(self, change: Change, fact: str) -> str:
        others = dict.fromkeys(
            _seen_from(change, one) for one in self._movers[fact] if one.address != change.address
        )
        if not others:
            return ""
        few = " and ".join(others) if len(others) <= FEW else f"{len(others)} other changes"
        return f" (together with {few})"


def _seen_from(change: Change, other: Change) -> str:
    """What a change is called beside another one: by its setting alone where the section is the same."""
    if other.setting and other.section == change.section:
        return one_line(other.setting)
    return title_text(other)


def _worth_telling(change: Change) -> Sequence[Clause]:
    """A part that went as a whole has no facts any more, which nobody needs to be told."""
    consequences = change.consequences
    if not change.setting and change.kind is ChangeKind.REMOVED:
        consequences = tuple(one for one in consequences if one.after is not None)
    return clauses(consequences)


def _names(change: Change, part: str) -> bool:
    """Whether a change's address already says which part is meant."""
    kind, _, label = part.partition(" ")
    if kind == "axis" and change.axis == label:
        return True
    return fold_name(label) in fold_name(change.section)
