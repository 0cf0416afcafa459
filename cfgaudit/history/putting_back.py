"""Where a setting or a section that is gone stood, and so where it goes."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from cfgaudit.history.drafts import Drafts
from cfgaudit.syntax.document import Author, Document, Entry, Header
from cfgaudit.syntax.edits import members
from cfgaudit.syntax.section_edits import NewSection
from cfgaudit.syntax.section_text import lines_of, own_nodes, section_lines
from cfgaudit.tree.config_tree import ConfigTree, Occurrence, Opening, Section
from cfgaudit.tree.names import fold_name, unquoted


class Home(NamedTuple):
    """A place for entries: a header in a file, or the file's beginning."""

    path: str
    header: Header | None


class Returns:
    """Puts what is gone back into the files of a tree. ``now`` gives today's section of an old one's key."""

    def __init__(
        self, drafts: Drafts, before: ConfigTree, after: ConfigTree, now: Callable[[str], Section | None]
    ) -> None:
        self._drafts, self._after, self._now = drafts, after, now
        self._before = {section.key: section for section in before.sections}
        self._missing: dict[tuple[str, Author, str], list[tuple[str, str]]] = {}

    def has_home(self, key: str, one: Occurrence) -> bool:
        """Whether the very place of an old entry is still there: its file, and a header of its section."""
        return self._own_home(key, one) is not None

    def entry(self, key: str, one: Occurrence, value: str) -> None:
        """An entry of the section with this old key goes where it stood, else where its section is now."""
        home = self._own_home(key, one) or self._any_home(key, one)
        if home is None:
            path = one.document.path if one.document.path in self._after.documents else self._after.main
            place = (path, one.author, self._before[key].openings[0].header.name)
            self._missing.setdefault(place, []).append((one.entry.key, value))
        elif value != one.value:
            self._drafts.add(home.path, home.header, one.entry.key, value)
        else:
            after = self._sibling(one, home)
            lines = lines_of(one.document, one.entry.span)
            self._drafts.put_back(home.path, home.header, after, one.entry, lines)

    def section(self, section: Section, value_of: Callable[[Occurrence], str]) -> None:
        """A whole section goes into the files where it was, those that are no more into the main file."""
        loose = [one for setting in section.settings for one in setting.occurrences]
        for opening in section.openings:
            entries = [
                node for node in own_nodes(opening.document, opening.header) if isinstance(node, Entry)
            ]
            inside = {id(entry) for entry in entries}
            held = [one for one in loose if id(one.entry) in inside]
            loose = [one for one in loose if id(one.entry) not in inside]
            order = {id(entry): rank for rank, entry in enumerate(entries)}
            self._opening(opening, sorted(held, key=lambda one: order[id(one.entry)]), value_of)
        for one in loose:
            self._loose(section, one, value_of(one))

    def finish(self) -> None:
        """Write the sections that nothing but single settings asked for."""
        for (path, author, name), settings in self._missing.items():
            self._drafts.add_section(path, NewSection(name, tuple(settings), author), None)

    def _opening(
        self, opening: Opening, held: list[Occurrence], value_of: Callable[[Occurrence], str]
    ) -> None:
        home = opening.document.path
        path = home if home in self._after.documents else self._after.main
        settings = tuple((one.entry.key, value_of(one)) for one in held)
        verbatim = all(value == one.value for (_, value), one in zip(settings, held, strict=True))
        lines = section_lines(opening.document, opening.header) if verbatim else None
        section = NewSection(opening.header.name, settings, opening.author, tuple(lines or ()))
        self._drafts.add_section(path, section, self._neighbour(opening) if path == home else None)

    def _loose(self, section: Section, one: Occurrence, value: str) -> None:
        """An entry of an included file that stood before any header there."""
        path = one.document.path
        if path in self._after.documents:
            self._drafts.put_back(path, None, None, one.entry, lines_of(one.document, one.entry.span))
            return
        name = section.openings[0].header.name if section.openings else section.name
        self._missing.setdefault((self._after.main, one.author, name), []).append((one.entry.key, value))

    def _own_home(self, key: str, one: Occurrence) -> Home | None:
        path = one.document.path
        if path not in self._after.documents:
            return None
        header = header_of(one.document, one.entry)
        if header is None:
            return Home(path, None)
        theirs = self._headers(self._before.get(key), path, one.author)
        ours = self._headers(self._now(key), path, one.author)
        if not ours:
            return None
        rank = next((index for index, each in enumerate(theirs) if each is header), 0)
        return Home(path, ours[min(rank, len(ours) - 1)])

    def _any_home(self, key: str, one: Occurrence) -> Home | None:
        """The last opening of the section; without any, what stands before all headers if that is it."""
        section = self._now(key)
        if not key:
            return Home(self._after.main, None)
        for opening in reversed(section.openings if section is not None else ()):
            if opening.author == one.author:
                return Home(opening.document.path, opening.header)
        return None

    @staticmethod
    def _headers(section: Section | None, path: str, author: Author) -> list[Header]:
        openings = section.openings if section is not None else ()
        return [one.header for one in openings if one.document.path == path and one.author == author]

    def _sibling(self, one: Occurrence, home: Home) -> Entry | Header | None:
        """What the entry stood behind: the nearest entry above it that is still there, else the header."""
        if home.path != one.document.path:
            return None
        header = header_of(one.document, one.entry)
        above = [node for node in members(one.document, header) if isinstance(node, Entry)]
        above = [node for node in above if node.span.start < one.entry.span.start]
        document = self._after.documents[home.path]
        here = {
            fold_name(node.key): node for node in members(document, home.header) if isinstance(node, Entry)
        }
        for node in reversed(above):
            if fold_name(node.key) in here:
                return here[fold_name(node.key)]
        return home.header

    def _neighbour(self, opening: Opening) -> Header | None:
        """The header in today's file of the section that stood above an old one."""
        document = opening.document
        ours = self._after.documents[document.path]
        headers = [node for node in document.nodes if isinstance(node, Header)]
        above = [node for node in headers if node.span.start < opening.header.span.start]
        for node in reversed(above):
            if node.author != opening.author:
                continue
            for one in self._headers(self._now(_key(node)), ours.path, node.author)[-1:]:
                return one
        return None


def header_of(document: Document, entry: Entry) -> Header | None:
    """The header that an entry stands below; None above all of them."""
    found: Header | None = None
    for node in document.nodes:
        if node.span.start >= entry.span.start:
            break
        if isinstance(node, Header) and node.author == entry.author:
            found = node
    return found


def _key(header: Header) -> str:
    name = unquoted(header.name)
    return fold_name(name) or name
