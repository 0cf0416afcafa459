"""Sections and settings as they grow while files are read one after the other."""

from __future__ import annotations

from dataclasses import dataclass, field

from cfgaudit.syntax.document import Document, Entry, Header, Include
from cfgaudit.tree.config_tree import Occurrence, Opening, Section, Setting
from cfgaudit.tree.names import fold_name, unquoted


@dataclass(slots=True)
class GrowingSection:
    """One section so far. Entries are known by identity: one that is read again moves to the end."""

    name: str
    key: str
    openings: dict[int, Opening] = field(default_factory=dict)
    names: dict[str, str] = field(default_factory=dict)
    """Folded key to the key as first spelled."""
    occurrences: dict[str, dict[int, Occurrence]] = field(default_factory=dict)

    def open(self, header: Header, document: Document) -> None:
        if id(header) not in self.openings:
            self.openings[id(header)] = Opening(header, document)

    def write(self, entry: Entry, document: Document) -> None:
        key = fold_name(entry.key) or entry.key
        found = self.occurrences.get(key)
        if found is None:
            self.names[key] = entry.key
            self.occurrences[key] = {id(entry): Occurrence(document.path, entry, document)}
            return
        found.pop(id(entry), None)
        found[id(entry)] = Occurrence(document.path, entry, document)

    def finish(self) -> Section:
        settings = tuple(self._setting(key, tuple(ones.values())) for key, ones in self.occurrences.items())
        return Section(self.name, self.key, tuple(self.openings.values()), settings)

    def _setting(self, key: str, ones: tuple[Occurrence, ...]) -> Setting:
        effective = ones[-1]
        if len(ones) > 1:
            effective = next((one for one in reversed(ones) if one.author == "machine"), effective)
        return Setting(self.name, self.names[key], key, effective, ones)


@dataclass(slots=True)
class GrowingTree:
    """All sections so far, in order of their first opening."""

    sections: dict[str, GrowingSection] = field(default_factory=dict)

    def section(self, name: str) -> GrowingSection:
        """The section called ``name``, as first spelled if it is known already."""
        name = unquoted(name)
        key = fold_name(name) or name
        if key not in self.sections:
            self.sections[key] = GrowingSection(name, key)
        return self.sections[key]

    def finish(self) -> tuple[Section, ...]:
        """Every section that was opened or holds a setting."""
        return tuple(one.finish() for one in self.sections.values() if one.openings or one.occurrences)


@dataclass(slots=True)
class Cursor:
    """The section that is open while one file is read.

    A machine-written block is a comment to the hand-written text around it: its headers do not end the
    hand-written section. A bare ``[include]`` is no section, but what else stands in it is nobody else's.
    """

    tree: GrowingTree
    hand: GrowingSection
    machine: GrowingSection
    held: tuple[Header, Document] | None = None
    """A bare ``[include]`` header that no entry followed yet."""

    def open(self, header: Header, document: Document) -> None:
        self.held = None
        if header.author == "hand" and fold_name(header.name) == "include":
            self.held = (header, document)
            return
        section = self.tree.section(header.name)
        section.open(header, document)
        self.machine = section
        if header.author == "hand":
            self.hand = section

    def write(self, entry: Entry, document: Document) -> None:
        if entry.author == "machine":
            self.machine.write(entry, document)
        elif self.held is None:
            self.hand.write(entry, document)
        else:
            header, home = self.held
            section = self.tree.section(header.name)
            section.open(header, home)
            section.write(entry, document)

    def meet(self, include: Include) -> None:
        """A directive whose path stands in the header ends a bare ``[include]`` and opens nothing."""
        if include.header is not None:
            self.held = None

    def inner(self) -> Cursor:
        """The cursor of an included file: it begins where the including one stands."""
        return Cursor(self.tree, self.hand, self.machine)
