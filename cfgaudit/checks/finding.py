"""What rules take and give."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from cfgaudit.facts.fact import Facts
from cfgaudit.machine.model import Machine
from cfgaudit.syntax.document import Place
from cfgaudit.tree.config_tree import ConfigTree
from cfgaudit.vocabulary.reading import TreeReading
from cfgaudit.vocabulary.words import Words


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


@dataclass(frozen=True, slots=True)
class Limit:
    """A named number of a card; ``value`` may be several (a set of allowed ones)."""

    name: str
    value: float | tuple[float, ...] | tuple[str, ...]
    unit: str
    source: str


@dataclass(frozen=True, slots=True)
class Subject:
    """All that a check may look at. A check never sees files, the environment or other rules."""

    tree: ConfigTree
    reading: TreeReading
    machine: Machine
    facts: Facts
    firmware_commands: frozenset[str] = frozenset()
    """Commands that ``cfgaudit.toml`` lists as the firmware's own, folded; empty where it lists none."""
    words: Words | None = field(default=None, repr=False)
    """The vocabulary that the reading was made with, for rules that ask what a corrected name would mean."""


@dataclass(frozen=True, slots=True)
class Problem:
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


@dataclass(frozen=True, slots=True)
class Skip:
    """A check yields this where it cannot run; the reason is one plain clause."""

    reason: str


Limits = Mapping[str, Limit]
Check = Callable[[Subject, Limits], Iterator[Problem | Skip]]


@dataclass(frozen=True, slots=True)
class Finding:
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


@dataclass(frozen=True, slots=True)
class Skipped:
    rule: str
    reason: str


@dataclass(frozen=True, slots=True)
class Findings:
    """In order of file and place."""

    findings: tuple[Finding, ...]
    skipped: tuple[Skipped, ...] = field(default=())
