"""What a file says, header by header, in a form small enough to keep of every version that it ever had."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from cfgaudit.source import SourceError, check_text
from cfgaudit.syntax.dialect import Traits
from cfgaudit.syntax.document import Author, Entry, Header, Include, Node
from cfgaudit.syntax.parse import parse
from cfgaudit.syntax.piecewise import Cut, PieceReader, Spelling
from cfgaudit.tree.names import fold_name, unquoted

Key = tuple[str, str]
"""A section's and a setting's folded names. The setting is empty for the section's header; the section is
`INHERITED` where the file does not say it."""
INHERITED = "\n"
"""What stands before a file's first header belongs to the section that is open where it is included; no name
holds a line break."""


class Said(NamedTuple):
    """One value as it is written."""

    value: str
    author: Author


class Passage(NamedTuple):
    """A header and what stands below it, up to the next one. Equal passages are one object."""

    entries: tuple[tuple[Key, Said], ...] = ()
    headers: tuple[str, ...] = ()
    """The folded names of the sections that are opened."""
    includes: tuple[tuple[str, bool], ...] = ()
    """Targets as written, and whether a folder is meant."""


class PassageReader:
    """Reads files into passages. What was read once, in whatever file, is not read again."""

    def __init__(self, traits: Traits) -> None:
        self._traits = traits
        self._pieces = PieceReader(traits)
        self._kept: dict[Passage, Passage] = {}
        self._read: dict[tuple[int, Spelling, str], tuple[tuple[Passage, ...], str]] = {}

    def cut(self, data: bytes, path: str) -> Cut | None:
        """The pieces of a file; None for what is no text, or is to be read as a whole."""
        try:
            check_text(path, data)
        except SourceError:
            return None
        return self._pieces.read(data.decode("utf-8", "surrogateescape"))

    def read(self, data: bytes, path: str) -> tuple[Passage, ...]:
        """The passages of a file; none for what is no text."""
        cut = self.cut(data, path)
        return self.of(cut) if cut is not None else self.whole(data, path)

    def of(self, cut: Cut) -> tuple[Passage, ...]:
        """The passages of a file that is cut into pieces."""
        found: list[Passage] = []
        section = INHERITED
        for piece in cut.pieces:
            key = (id(piece), cut.spelling, section)
            if key not in self._read:
                self._read[key] = self._passages(piece.nodes(cut.spelling, self._traits), section)
            passages, section = self._read[key]
            found += passages
        return tuple(found)

    def whole(self, data: bytes, path: str) -> tuple[Passage, ...]:
        """As `read`, for a file that is not cut."""
        try:
            check_text(path, data)
        except SourceError:
            return ()
        return self._passages(parse(data, path, self._traits).nodes, INHERITED)[0]

    def _passages(self, nodes: Sequence[Node], section: str) -> tuple[tuple[Passage, ...], str]:
        reading = _Reading(section, section)
        passages = tuple(reading.passage(one) for one in _stretches(nodes))
        return tuple(self._kept.setdefault(one, one) for one in passages), reading.hand


@dataclass(slots=True)
class _Reading:
    """Which section is open, as `cfgaudit.tree.merge` has it."""

    hand: str
    machine: str
    held: bool = False
    """Whether a bare ``[include]`` header is open, which is no section but for other settings in it."""

    def passage(self, nodes: Sequence[Node]) -> Passage:
        entries: list[tuple[Key, Said]] = []
        headers: list[str] = []
        includes: list[tuple[str, bool]] = []
        for node in nodes:
            if isinstance(node, Entry):
                entries.append(((self._section(node), setting_key(node.key)), Said(node.value, node.author)))
            elif isinstance(node, Include):
                self.held = self.held and node.header is None
                includes.append((node.target, node.folder))
            elif isinstance(node, Header):
                self._open(node)
                headers += [] if self.held else [self.machine]
        return Passage(tuple(entries), tuple(headers), tuple(includes))

    def _section(self, entry: Entry) -> str:
        if entry.author == "machine":
            return self.machine
        return "include" if self.held else self.hand

    def _open(self, header: Header) -> None:
        self.held = header.author == "hand" and fold_name(header.name) == "include"
        if not self.held:
            self.machine = section_key(header.name)
            self.hand = self.machine if header.author == "hand" else self.hand


def _stretches(nodes: Sequence[Node]) -> Iterator[list[Node]]:
    """The nodes that say something, cut before every header."""
    stretch: list[Node] = []
    for node in nodes:
        if isinstance(node, (Header, Entry, Include)):
            if stretch and (isinstance(node, Header) or (isinstance(node, Include) and node.header)):
                yield stretch
                stretch = []
            stretch.append(node)
    if stretch:
        yield stretch


def section_key(name: str) -> str:
    """A section's name as it compares."""
    name = unquoted(name)
    return fold_name(name) or name


def setting_key(name: str) -> str:
    """A setting's name as it compares."""
    return fold_name(name) or name
