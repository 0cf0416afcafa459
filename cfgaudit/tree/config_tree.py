"""The config tree: all documents reached from the main file, resolved into effective settings."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from cfgaudit.syntax.document import Author, Document, Entry, Header, Include, Place


@dataclass(frozen=True, slots=True)
class Occurrence:
    """One place where a setting is written. Places are worked out when somebody asks: few are reported."""

    file: str
    entry: Entry = field(repr=False)
    document: Document = field(repr=False, compare=False)

    @property
    def value(self) -> str:
        return self.entry.value

    @property
    def author(self) -> Author:
        return self.entry.author

    @property
    def place(self) -> Place:
        """Of the value; of the key where the value is empty."""
        return self.document.place(self.entry.value_span) if self.entry.value else self.key_place

    @property
    def key_place(self) -> Place:
        return self.document.place(self.entry.key_span)


class Setting(NamedTuple):
    """One key of one section with its effective value and every value it shadows.

    ``occurrences`` stand in reading order; ``effective`` is one of them: the last that the machine wrote,
    else the last. What a file included twice says stands once, where it is read last.
    """

    section: str
    """The section's name as first spelled."""
    name: str
    """The key as first spelled."""
    key: str
    """``fold_name(name)``."""
    effective: Occurrence
    occurrences: tuple[Occurrence, ...]

    @property
    def value(self) -> str:
        return self.effective.entry.value

    @property
    def place(self) -> Place:
        return self.effective.place

    @property
    def shadows(self) -> tuple[Occurrence, ...]:
        """The occurrences that have no effect, latest first."""
        return tuple(one for one in reversed(self.occurrences) if one is not self.effective)


@dataclass(frozen=True, slots=True)
class Opening:
    """One header of a section in one document."""

    header: Header = field(repr=False)
    document: Document = field(repr=False)

    @property
    def place(self) -> Place:
        """Of the name between the brackets."""
        return self.document.place(self.header.name_span)

    @property
    def author(self) -> Author:
        return self.header.author


class Section(NamedTuple):
    """All that was written under one name, in whatever files. The name is empty before any header."""

    name: str
    """As first spelled, quotes taken out."""
    key: str
    """``fold_name(name)``."""
    openings: tuple[Opening, ...]
    settings: tuple[Setting, ...]

    @property
    def place(self) -> Place | None:
        """The first opening, if there is any."""
        return self.openings[0].place if self.openings else None


class Inclusion(NamedTuple):
    """One directive and the files it led to, in order."""

    file: str
    place: Place
    directive: Include
    files: tuple[str, ...]


class TreeFault(NamedTuple):
    """What went wrong while resolving; ``kind`` is the name of the rule that reports it.

    Kinds: ``include-missing``, ``include-cycle``, ``include-leaves-root``, ``include-matches-nothing``,
    ``include-twice``, ``include-case`` (told apart only by case or by how an accent is encoded),
    ``include-unreadable``.
    """

    kind: str
    place: Place
    target: str
    related: tuple[Place, ...] = ()
    detail: str = ""
    """For people. ``include-missing``: the nearest existing path, or nothing. ``include-cycle``: the chain,
    ``a.ini > b.ini > a.ini``. ``include-twice``: the file. ``include-case``: the other path.
    ``include-leaves-root`` and ``include-unreadable``: one line that says why and what to do."""


class ConfigTree(NamedTuple):
    """``documents`` by path, in reading order; ``sections`` in order of first opening."""

    main: str
    documents: Mapping[str, Document]
    sections: tuple[Section, ...]
    inclusions: tuple[Inclusion, ...]
    faults: tuple[TreeFault, ...]
    strangers: tuple[str, ...] = ()
    """Files below the root that look like configuration and that no main file includes, sorted."""

    def settings(self) -> Iterator[Setting]:
        """Every setting, section by section."""
        for section in self.sections:
            yield from section.settings
