"""What rules take and give."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from enum import StrEnum
from types import MappingProxyType
from typing import NamedTuple

from cfgaudit.evidence.records.record import NO_EVIDENCE, Evidence
from cfgaudit.facts.fact import Facts
from cfgaudit.machine.model import Machine
from cfgaudit.syntax.document import Place
from cfgaudit.tree.config_tree import ConfigTree
from cfgaudit.vocabulary.reading import TreeReading
from cfgaudit.vocabulary.words import Words

NO_HOURS: Mapping[str, float] = MappingProxyType({})


class Severity(StrEnum):
    """From the worst to the least."""

    DANGER = "danger"
    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"

    @property
    def rank(self) -> int:
        """0 for the worst."""
        return list(Severity).index(self)


class Limit(NamedTuple):
    """A named number of a card; ``value`` may be several (a set of allowed ones)."""

    name: str
    value: float | tuple[float, ...] | tuple[str, ...]
    unit: str
    source: str


class Subject(NamedTuple):
    """All that a check may look at. A check never sees files, the environment or other rules."""

    tree: ConfigTree
    reading: TreeReading
    machine: Machine
    facts: Facts
    firmware_commands: frozenset[str] = frozenset()
    """Commands that ``cfgaudit.toml`` lists as the firmware's own, folded; empty where it lists none."""
    words: Words | None = None
    """The vocabulary that the reading was made with, for rules that ask what a corrected name would mean."""
    evidence: Evidence = NO_EVIDENCE
    hours: Mapping[str, float] = NO_HOURS
    """How many hours parts may run, by the builder's names and limits."""


class Problem(NamedTuple):
    """One place where a rule is not met, as a check yields it.

    ``message`` is one plain sentence without a full stop, with names and numbers in it. ``advice``
    replaces the card's where a better one is known (a suggestion of the nearest name). ``severity``
    may only lower the card's. ``subject`` tells problems of one rule apart when lines move: the names
    it is about, not its place.
    """

    place: Place
    message: str
    subject: str
    related: tuple[Place, ...] = ()
    advice: str | None = None
    severity: Severity | None = None


class Skip(NamedTuple):
    """A check yields this where it cannot run; the reason is one plain clause."""

    reason: str


Limits = Mapping[str, Limit]
Check = Callable[[Subject, Limits], Iterator[Problem | Skip]]


class Finding(NamedTuple):
    """One place where a rule is not met, with all that a report needs."""

    rule: str
    severity: Severity
    concern: str
    message: str
    where: Place
    related: tuple[Place, ...]
    advice: str
    fingerprint: str
    known: bool = False
    subject: str = ""
    """What the problem said that it is about: the names in the fingerprint."""


class Skipped(NamedTuple):
    rule: str
    reason: str


class Findings(NamedTuple):
    """In order of file and place."""

    findings: tuple[Finding, ...]
    skipped: tuple[Skipped, ...] = ()
