"""All edits that are planned for the files of one state, and the texts that they make."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from cfgaudit.syntax.dialect import DETECT, Traits
from cfgaudit.syntax.document import Document, Entry, Header, Include, Node
from cfgaudit.syntax.edits import (
    Edit,
    EditError,
    adding,
    edited,
    members,
    putting_back,
    removing,
    replacing,
)
from cfgaudit.syntax.section_edits import NewSection, adding_section, removing_section, renaming
from cfgaudit.syntax.section_text import own_nodes
from cfgaudit.tree.config_tree import Occurrence, Opening


@dataclass(slots=True)
class _Rewritten:
    """What becomes of one entry."""

    path: str
    entry: Entry
    value: str | None = None
    key: str | None = None
    gone: bool = False

    def edit(self, document: Document) -> Edit | None:
        if self.gone:
            return removing(document, self.entry)
        value = None if self.value == self.entry.value else self.value
        key = None if self.key == self.entry.key else self.key
        return (
            None if value is None and key is None else replacing(document, self.entry, value=value, key=key)
        )


class Choice(NamedTuple):
    """Something more in a file: as it stood once, and as the file is written."""

    verbatim: Edit
    plain: Edit


@dataclass(slots=True)
class Drafts:
    """Edits by file. Of two values for one entry the first counts; what goes needs none."""

    documents: Mapping[str, Document]
    traits: Traits = DETECT
    _entries: dict[int, _Rewritten] = field(default_factory=dict)
    _removed: dict[int, tuple[str, Header]] = field(default_factory=dict)
    _renamed: dict[int, tuple[str, Header, str]] = field(default_factory=dict)
    _filled: set[int] = field(default_factory=set)
    """Headers that get an entry."""
    _added: dict[str, list[Choice]] = field(default_factory=dict)
    _sections: dict[str, list[Choice]] = field(default_factory=dict)
    """Sections more. At one place they stand behind what is added to the section above."""

    def value(self, one: Occurrence, value: str) -> None:
        """Another value for an entry."""
        entry = self._of(one)
        entry.value = value if entry.value is None else entry.value

    def key(self, one: Occurrence, key: str) -> None:
        """Another key for an entry."""
        self._of(one).key = key

    def remove(self, one: Occurrence) -> None:
        """No such entry."""
        self._of(one).gone = True

    def rename(self, opening: Opening, name: str) -> None:
        """Another name in a header."""
        self._renamed[id(opening.header)] = (opening.document.path, opening.header, name)

    def remove_section(self, opening: Opening) -> None:
        """No such header, and none of its entries."""
        self._removed[id(opening.header)] = (opening.document.path, opening.header)

    def spare(self, openings: Sequence[Opening], most: int) -> None:
        """Of these headers, from the last, so many as ``most`` go if all that stands below them does."""
        for opening in reversed(openings):
            own = [node for node in members(opening.document, opening.header) if isinstance(node, Entry)]
            if most and own and self._all_gone(opening.header, own):
                self.remove_section(opening)
                most -= 1

    def _all_gone(self, header: Header, own: Sequence[Entry]) -> bool:
        gone = all(id(one) in self._entries and self._entries[id(one)].gone for one in own)
        return gone and id(header) not in self._filled

    def add(self, path: str, header: Header | None, key: str, value: str) -> None:
        """An entry more in a section, as the file lays them out."""
        self._filled.add(id(header))
        plain = adding(self.documents[path], header, key, value)
        self._added.setdefault(path, []).append(Choice(plain, plain))

    def put_back(
        self,
        path: str,
        header: Header | None,
        after: Node | None,
        entry: Entry,
        lines: Sequence[str],
        above: Node | None = None,
    ) -> None:
        """An entry as it once stood; laid out anew where its lines do not read here as they did."""
        document = self.documents[path]
        self._filled.add(id(header))
        verbatim = putting_back(document, header, after, entry, lines, above)
        plain = adding(document, header, entry.key, entry.value)
        self._added.setdefault(path, []).append(Choice(verbatim, plain))

    def add_section(
        self,
        path: str,
        section: NewSection,
        after: Header | Include | None = None,
        above: Node | None = None,
    ) -> None:
        """A section more; laid out anew where its lines do not read here as they did."""
        document = self.documents[path]
        plain = adding_section(document, section._replace(lines=()), after, above=above)
        verbatim = adding_section(document, section, after, above=above) if section.lines else plain
        self._sections.setdefault(path, []).append(Choice(verbatim, plain))

    def texts(self) -> dict[str, bytes]:
        """The new content of every file that changes. Raises EditError if one cannot be made."""
        found = {path: self._text(document) for path, document in self.documents.items()}
        return {path: data for path, data in found.items() if data is not None}

    def _of(self, one: Occurrence) -> _Rewritten:
        return self._entries.setdefault(id(one.entry), _Rewritten(one.document.path, one.entry))

    def _text(self, document: Document) -> bytes | None:
        """The text with all that is added verbatim, or as much of it as goes; else with nothing verbatim."""
        choices = [*self._added.get(document.path, ()), *self._sections.get(document.path, ())]
        others = list(self._edits(document))
        if not choices and not others:
            return None
        try:
            return self._edited(document, [*others, *(one.verbatim for one in choices)])
        except EditError:
            pass
        try:
            return self._edited(document, [*others, *(self._best(document, one) for one in choices)])
        except EditError:
            return self._edited(document, [*others, *(one.plain for one in choices)])

    def _edited(self, document: Document, edits: list[Edit]) -> bytes:
        return edited(document, edits, self.traits).data()

    def _best(self, document: Document, choice: Choice) -> Edit:
        """The verbatim edit, if it goes by itself."""
        try:
            edited(document, [choice.verbatim], self.traits)
        except EditError:
            return choice.plain
        return choice.verbatim

    def _edits(self, document: Document) -> Iterator[Edit]:
        self._empty_headers(document)
        inside = set[int]()
        for path, header in self._removed.values():
            if path == document.path:
                inside |= {id(node) for node in own_nodes(document, header)}
                yield removing_section(document, header)
        for path, header, name in self._renamed.values():
            if path == document.path and header.name != name and id(header) not in self._removed:
                yield renaming(document, header, name)
        for one in self._entries.values():
            if one.path == document.path and id(one.entry) not in inside:
                edit = one.edit(document)
                if edit is not None:
                    yield edit

    def _empty_headers(self, document: Document) -> None:
        """A machine writes no header without entries, and a block of such would be none."""
        for header in document.nodes:
            if isinstance(header, Header) and header.author == "machine":
                own = [node for node in members(document, header) if isinstance(node, Entry)]
                if own and self._all_gone(header, own):
                    self._removed[id(header)] = (document.path, header)
