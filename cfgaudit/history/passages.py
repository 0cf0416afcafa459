"""What a file says, header by header, in a form small enough to keep of every version that it ever had."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from cfgaudit.source import SourceError, check_text
from cfgaudit.syntax.dialect import Traits
from cfgaudit.syntax.document import Author, Document, Entry, Header, Include, Node
from cfgaudit.syntax.parse import parse
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
    """Reads files into passages and keeps each passage once."""

    def __init__(self, traits: Traits) -> None:
        self._traits = traits
        self._kept: dict[Passage, Passage] = {}

    def read(self, data: bytes, path: str) -> tuple[Passage, ...]:
        """The passages of a file; none for what is no text."""
        try:
            check_text(path, data)
        except SourceError:
            return ()
        return tuple(self._kept.setdefault(one, one) for one in passages_of(parse(data, path, self._traits)))


def passages_of(document: Document) -> Iterator[Passage]:
    """The passages of a parsed file. The sections are those that `cfgaudit.tree.merge` writes them to."""
    hand = machine = INHERITED
    held = False
    for stretch in _stretches(document.nodes):
        entries: list[tuple[Key, Said]] = []
        headers: list[str] = []
        includes: list[tuple[str, bool]] = []
        for node in stretch:
            if isinstance(node, Entry):
                by_machine = node.author == "machine"
                section = machine if by_machine else "include" if held else hand
                entries.append(((section, setting_key(node.key)), Said(node.value, node.author)))
            elif isinstance(node, Include):
                held = held and node.header is None
                includes.append((node.target, node.folder))
            elif isinstance(node, Header):
                held = node.author == "hand" and fold_name(node.name) == "include"
                if not held:
                    machine = section_key(node.name)
                    hand = machine if node.author == "hand" else hand
                    headers.append(machine)
        yield Passage(tuple(entries), tuple(headers), tuple(includes))


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
