"""Where a setting or a section that is gone stood, and so where it goes."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import NamedTuple

from cfgaudit.history.comparing.written import key_of_name, sections_of, setting_in
from cfgaudit.history.restoring.drafts import Drafts
from cfgaudit.history.restoring.neighbours import Spot, Stretch, between_sections, spot_of, top_of
from cfgaudit.history.restoring.standing import Standing, header_of
from cfgaudit.syntax.document import Author, Document, Entry, Header, Include, Node
from cfgaudit.syntax.section_edits import NewSection
from cfgaudit.syntax.section_text import lines_of, own_nodes, section_lines
from cfgaudit.tree.config_tree import ConfigTree, Occurrence, Opening, Section
from cfgaudit.tree.names import unquoted


class Home(NamedTuple):
    """A place for entries: a header in a file, or the file's beginning."""

    path: str
    header: Header | None


class Returns:
    """Puts what is gone back into the files of a tree.

    ``now`` gives today's section of an old one's key, ``value_of`` what a value in that old section must be.
    """

    def __init__(
        self,
        drafts: Drafts,
        before: ConfigTree,
        after: ConfigTree,
        now: Callable[[str], Section | None],
        value_of: Callable[[str, Occurrence], str],
    ) -> None:
        self._drafts, self._after, self._now, self._value_of = drafts, after, now, value_of
        self._main = before.main
        self._before = sections_of(before)
        self._missing: dict[tuple[str, Author, str], list[tuple[Occurrence, str]]] = {}

    def has_home(self, key: str, one: Occurrence) -> bool:
        """Whether an old entry can go where it stood: its file is there, and a header of its section.

        What the machine wrote always can: its block is nobody's text, and a section more in it is no harm.
        """
        return one.author == "machine" or self._own_home(key, one) is not None

    def has_file(self, one: Occurrence) -> bool:
        """Whether the file of an old entry is still read."""
        return self._path(one.document) is not None

    def is_file_of(self, path: str, one: Occurrence) -> bool:
        """Whether a present file is the one that an old entry stood in."""
        return self._path(one.document) == path

    def reopen(self, key: str, one: Occurrence) -> None:
        """An entry goes into its old file, where its section is not open any more."""
        self._ask(
            self._path(one.document) or self._after.main, self._before[key], one, self._value_of(key, one)
        )

    def entry(self, key: str, one: Occurrence) -> None:
        """An entry of the section with this old key goes where it stood, else where its section is now."""
        home, value = self._own_home(key, one) or self._any_home(key, one), self._value_of(key, one)
        if home is None:
            self._ask(self._path(one.document) or self._after.main, self._before[key], one, value)
        elif value != one.value:
            self._drafts.add(home.path, home.header, one.entry.key, value)
        else:
            self._stand(key, one, home)

    def section(self, section: Section) -> None:
        """A whole section goes into the files where it was, those that are no more into the main file."""
        loose = [one for setting in section.settings for one in setting.occurrences]
        for opening in section.openings:
            own = own_nodes(opening.document, opening.header)
            order = {id(node): rank for rank, node in enumerate(own) if isinstance(node, Entry)}
            held = [one for one in loose if id(one.entry) in order]
            loose = [one for one in loose if id(one.entry) not in order]
            self._opening(section, opening, sorted(held, key=lambda one: order[id(one.entry)]))
        for one in loose:
            self._loose(section, one)

    def finish(self) -> None:
        """Write the sections that nothing but single settings asked for."""
        for (path, author, name), settings in self._missing.items():
            pairs = tuple((one.entry.key, value) for one, value in settings)
            lines = _machine_lines(settings) if author == "machine" else ()
            self._drafts.add_section(path, NewSection(name, pairs, author, lines))

    def _opening(self, section: Section, opening: Opening, held: list[Occurrence]) -> None:
        path = self._path(opening.document)
        settings = tuple((one.entry.key, self._value_of(section.key, one)) for one in held)
        verbatim = all(value == one.value for (_, value), one in zip(settings, held, strict=True))
        lines = section_lines(opening.document, opening.header) if verbatim else None
        new = NewSection(opening.header.name, settings, opening.author, tuple(lines or ()))
        if path is None:
            self._drafts.add_section(self._after.main, new)
            return
        after = self._above(opening, path)
        above = self._below(opening, path) if after is None else None
        self._drafts.add_section(path, new, after, above)

    def _loose(self, section: Section, one: Occurrence) -> None:
        """An entry of an included file that stood before any header there."""
        path, value = self._path(one.document), self._value_of(section.key, one)
        if path is None:
            self._ask(self._after.main, section, one, value)
        elif value == one.value:
            self._stand(section.key, one, Home(path, None))
        else:
            self._drafts.add(path, None, one.entry.key, value)

    def _ask(self, path: str, section: Section, one: Occurrence, value: str) -> None:
        header = header_of(one.document, one.entry)
        first = section.openings[0].header if section.openings else None
        name = next((each.name for each in (header, first) if each is not None), section.name)
        self._missing.setdefault((path, one.author, name), []).append((one, value))

    def _path(self, document: Document) -> str | None:
        """Today's file for one of then; the main file is itself, whatever it was called."""
        path = self._after.main if document.path == self._main else document.path
        return path if path in self._after.documents else None

    def _own_home(self, key: str, one: Occurrence) -> Home | None:
        path = self._path(one.document)
        if path is None:
            return None
        header = header_of(one.document, one.entry)
        if header is None:
            return Home(path, None)
        ours = self._headers(self._now(key), path, one.author)
        if not ours:
            return None
        theirs = self._headers(self._before.get(key), one.document.path, one.author)
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

    def _stand(self, key: str, one: Occurrence, home: Home) -> None:
        """An entry among those that it stood among."""
        document = self._after.documents[home.path]
        then, now = Stretch(one.document, header_of(one.document, one.entry)), Stretch(document, home.header)
        same = home.path == self._path(one.document)
        spot = spot_of(one.entry, then, now, counted=self._counted(key, one)) if same else Spot()
        stood = Standing(one, document, home.header)
        after = stood.below(spot.after)
        above = spot.above if after is spot.after else None
        self._drafts.put_back(home.path, home.header, after, one.entry, stood.lines(), above)

    @staticmethod
    def _headers(section: Section | None, path: str, author: Author) -> list[Header]:
        openings = section.openings if section is not None else ()
        return [one.header for one in openings if one.document.path == path and one.author == author]

    def _counted(self, key: str, one: Occurrence) -> bool:
        """Whether it was an entry's value that counted."""
        setting = setting_in(self._before.get(key), key_of_name(one.entry.key))
        return setting is not None and setting.effective.entry is one.entry

    def _above(self, opening: Opening, path: str) -> Header | Include | None:
        """What there is today of the section, or the directive, that stood nearest above an old section."""
        return next((found for _, found in self._beside(opening, path, below=False)), None)

    def _below(self, opening: Opening, path: str) -> Node | None:
        """The same of what stood nearest below it, with the comments of that."""
        document, then = self._after.documents[path], opening.document
        beside = self._beside(opening, path, below=True)
        return next((top_of(document, found, then, old) for old, found in beside), None)

    def _beside(
        self, opening: Opening, path: str, *, below: bool
    ) -> Iterator[tuple[Header | Include, Header | Include]]:
        """What stood above an old section, or below it, the nearest first; and what there is of it today."""
        at = opening.header.span.start
        nodes = [node for node in opening.document.nodes if isinstance(node, Header | Include)]
        side = [node for node in nodes if (node.span.start > at) == below and node is not opening.header]
        for node in side if below else reversed(side):
            if found := self._present(node, path, opening.author, first=below):
                yield node, found

    def _present(
        self, node: Header | Include, path: str, author: Author, *, first: bool
    ) -> Header | Include | None:
        """An old header's section as it is in a file today, its first or last opening; an old directive."""
        if isinstance(node, Include):
            directives = between_sections(self._after.documents[path]) if author == "hand" else ()
            return next((one for one in directives if one.target == node.target), None)
        if node.author != author:
            return None
        ours = self._headers(self._now(key_of_name(unquoted(node.name))), path, author)
        return ours[0 if first else -1] if ours else None


def _machine_lines(settings: list[tuple[Occurrence, str]]) -> tuple[str, ...]:
    """What the machine wrote, behind its prefix; nothing where a value must be another."""
    first = settings[0][0]
    header = header_of(first.document, first.entry)
    if header is None or any(value != one.value for one, value in settings):
        return ()
    entries = (line for one, _ in settings for line in lines_of(one.document, one.entry.span))
    return (*lines_of(first.document, header.span), *entries)
