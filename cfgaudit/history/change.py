"""A change: one difference between two machines, and what it comes to."""

from __future__ import annotations

from datetime import datetime
from enum import StrEnum
from typing import NamedTuple

from cfgaudit.checks.finding import Finding, Severity
from cfgaudit.facts.fact import Amount
from cfgaudit.syntax.document import Author, Place


class ChangeKind(StrEnum):
    """What happened to a setting, or to a section as a whole."""

    CHANGED = "changed"
    ADDED = "added"
    REMOVED = "removed"
    RENAMED = "renamed"
    MOVED = "moved"
    """To another section, with the same value and role. To another file or place is no change."""
    TEXT = "text"
    """Nothing is known but that the text is another: the setting's role is unknown."""


class Written(NamedTuple):
    """One setting of one side as it is written there."""

    section: str
    setting: str
    value: str
    where: Place
    author: Author


class Side(NamedTuple):
    """One side of a change. ``settings`` holds one, or all of a section that changed as a whole."""

    section: str
    where: Place
    """Of the value; of a section the header."""
    settings: tuple[Written, ...]

    @property
    def value(self) -> str:
        """The value of a single setting; empty for a section."""
        return self.settings[0].value if len(self.settings) == 1 else ""


class Consequence(NamedTuple):
    """A fact before and after; None on the side where there is no such fact."""

    fact: str
    """Its name after the change; the one before where it is gone."""
    unit: str
    before: Amount | None
    after: Amount | None


class Commit(NamedTuple):
    """What git says of one commit. ``date`` is the author's."""

    id: str
    date: datetime
    author: str
    summary: str
    parents: tuple[str, ...] = ()

    @property
    def short(self) -> str:
        return self.id[:7]


class Change(NamedTuple):
    """``section`` and ``setting`` as they are named after; before where they are gone.

    ``setting`` is empty where a whole section was added, removed or renamed.
    """

    kind: ChangeKind
    concern: str
    severity: Severity
    section: str
    setting: str
    role: str | None
    axis: str | None
    part: str
    """The part's kind; for a section that of its head. Empty where no word names a part."""
    before: Side | None
    after: Side | None
    why: str = ""
    """What it means, as one clause without a full stop: ``the heater may get hotter``. May be empty."""
    relative: float | None = None
    """After ÷ before − 1, for single numbers other than zero."""
    effective: bool = True
    """False where what counts is the same: the change stands in a file that another one shadows."""
    author: Author = "hand"
    """Who wrote what is new, or what is gone."""
    consequences: tuple[Consequence, ...] = ()
    findings: tuple[Finding, ...] = ()
    """Findings that are new and stand at one of the change's places, or name it as related."""
    commits: tuple[Commit, ...] = ()
    """Those that made it, oldest first."""
    uncommitted: bool = False
    """Whether any of it is in no commit yet."""

    @property
    def address(self) -> str:
        """``SECTION:SETTING``; the section alone where it is changed as a whole."""
        return f"{self.section}:{self.setting}" if self.setting else self.section


class Mark(NamedTuple):
    """A commit that its owner declared known-good."""

    name: str
    """The tag, ``good/2026-11-10``."""
    commit: str
    """The full id."""
    date: datetime
    """When it was marked."""
    author: str
    note: str
    measured: tuple[tuple[str, str], ...] = ()
    """Names and values, as written."""

    @property
    def title(self) -> str:
        """The first line of its note, which may have several paragraphs."""
        return self.note.partition("\n")[0]


class Revision(NamedTuple):
    """One state of the files. ``commit`` is None for the working tree and the index."""

    label: str
    """For people: a mark's or branch's name as given, ``commit 1a2b3c4``, ``working tree``, ``git index``."""
    commit: str | None
    date: datetime | None = None
    mark: Mark | None = None


class Review(NamedTuple):
    """All that changed between two states: what ``changes`` reports and the gate judges."""

    before: Revision
    after: Revision
    main: str
    changes: tuple[Change, ...]
    """By concern, in each the dangerous first."""
    new: tuple[Finding, ...]
    """Findings that the state before did not have."""
    gone: tuple[Finding, ...]
    standing: int
    """How many findings both have."""
    stood: tuple[Severity, ...] = ()
    """The severity of each of those."""
