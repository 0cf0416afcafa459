"""What a file says, header by header, in a form small enough to keep of every version that it ever had."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from cfgaudit.source import SourceError, check_text
from cfgaudit.syntax.dialect import Traits
from cfgaudit.syntax.document import Author, Entry, Header, Include, Node
from cfgaudit.syntax.fold import Fold, Style
from cfgaudit.syntax.lines import Line
from cfgaudit.syntax.parse import parse
from cfgaudit.syntax.piecewise import Cut, Piece, PieceReader, Spelling
from cfgaudit.tree.names import fold_name, unquoted

Key = tuple[str, str]
"""A section's and a setting's folded names. The setting is empty for the section's header; the section is
`INHERITED` where the file does not say it."""
INHERITED = "\n"
"""What stands before a file's first header belongs to the section that is open where it is included; no name
holds a line break."""


Folded = tuple[list[Node], str | None]
"""What some lines read as, and the name of the header that is open below them."""


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
        self._lines: dict[tuple[str, str, str | None, Spelling], Folded] = {}
        """What a line that is nobody's else reads as: by its text and kind, and what stands open above it."""
        self._read: dict[Spelling, dict[tuple[Piece, str], tuple[tuple[Passage, ...], str]]] = {}
        """By how the file is spelled; by a piece and the section that is open above it."""

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
        section, read = INHERITED, self._read.setdefault(cut.spelling, {})
        for piece in cut.pieces:
            known = read.get((piece, section))
            if known is None:
                known = self._passages(self._nodes(piece, cut.spelling), section)
                read[piece, section] = known
            passages, section = known
            found += passages
        return tuple(found)

    def _nodes(self, piece: Piece, spelling: Spelling) -> list[Node]:
        """As `Piece.nodes` without comments and blank lines; their places are none of the piece's."""
        style = Style(*spelling, self._traits.includes)
        found: list[Node] = []
        section: str | None = None
        for group in piece.groups(spelling[0]):
            text = piece.text[group[0].start : group[-1].end]
            if len(group) > 1:
                nodes, section = _folded(piece.text, group, section, style)
            else:
                key = (text, group[0].kind, section, spelling)
                known = self._lines.get(key)
                if known is None:
                    line = Line(group[0].kind, 1, len(text) + 1)
                    self._lines[key] = known = _folded(f"\n{text}", [line], section, style)
                nodes, section = known
            found += nodes
        return found

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


def _folded(text: str, lines: Sequence[Line], section: str | None, style: Style) -> Folded:
    fold = Fold(text, [], section)
    fold.add(lines, style)
    return fold.nodes, fold.section


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
