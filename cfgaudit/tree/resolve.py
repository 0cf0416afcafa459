"""From the main file to the config tree: every include followed, depth first, at its place."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple

from cfgaudit.paths import normalise
from cfgaudit.source import MissingFile, OutsideRoot, Source, SourceError, check_text
from cfgaudit.syntax.dialect import DETECT, Traits
from cfgaudit.syntax.document import Document, Entry, Header, Include, Place
from cfgaudit.syntax.parse import Parser, parse
from cfgaudit.tree.config_tree import ConfigTree, Inclusion, TreeFault
from cfgaudit.tree.lookup import Lookup
from cfgaudit.tree.merge import Cursor, GrowingTree

DEPTH_AT_MOST = 64
"""Files that include one another in a row."""
INCLUSIONS_AT_MOST = 2_000
"""Files read in all, each time that one is read: files that include others twice would go on for ever."""


class TreeOptions(NamedTuple):
    """How to resolve. What may lie outside the root is the source's matter."""

    traits: Traits = DETECT
    strangers: bool = True
    """Whether to look for files that nothing includes; looking lists the whole folder."""
    parse: Parser = parse


DEFAULTS = TreeOptions()


def resolve(source: Source, main: str, options: TreeOptions = DEFAULTS) -> ConfigTree:
    """The config tree of the main file ``main``. Raises SourceError if that file cannot be had or is no text.

    Whatever else is wrong is a fault of the tree, in reading order. The entries of an included file that
    stand before any header belong to the section that is open at the directive; after it the including
    file goes on in its own section. A file included again is applied again, so the last value wins.
    """
    main = source.locate(normalise(main))
    document = read_document(source, main, options)
    resolution = Resolution(source, options)
    resolution.documents[main] = document
    start = resolution.tree.section("")
    resolution.apply(document, Cursor(resolution.tree, start, start))
    return ConfigTree(
        main,
        resolution.documents,
        resolution.tree.finish(),
        tuple(resolution.inclusions),
        tuple(resolution.faults),
        resolution.strangers() if options.strangers else (),
    )


def read_document(source: Source, path: str, options: TreeOptions = DEFAULTS) -> Document:
    """One file, parsed. Raises SourceError if it cannot be had or is no text."""
    data = source.read(path)
    check_text(path, data)
    return options.parse(data, path, options.traits)


@dataclass(slots=True)
class Resolution:
    """One run of ``resolve``. Recursion is bounded by ``DEPTH_AT_MOST``."""

    source: Source
    options: TreeOptions
    tree: GrowingTree = field(default_factory=GrowingTree)
    documents: dict[str, Document] = field(default_factory=dict)
    inclusions: list[Inclusion] = field(default_factory=list)
    faults: list[TreeFault] = field(default_factory=list)
    lookup: Lookup = field(init=False)
    chain: list[tuple[str, Place | None]] = field(default_factory=list)
    """The files that are open now, from the main file down, each with the directive that led to it."""
    first: dict[str, Place] = field(default_factory=dict)
    """Where each included file was included first."""
    followed: dict[int, tuple[str, ...]] = field(default_factory=dict)
    """What each directive led to, by identity: a file that is applied again brings no fault again."""
    count: int = 0
    """Files applied after the main file, each time counted."""
    full: bool = False
    """Whether the limit of files was met and told."""

    def __post_init__(self) -> None:
        self.lookup = Lookup(self.source)

    def apply(self, document: Document, cursor: Cursor, came_by: Place | None = None) -> None:
        """Write one file's sections and settings into the tree, and those of the files that it includes."""
        self.chain.append((document.path, came_by))
        for node in document.nodes:
            if isinstance(node, Entry):
                cursor.write(node, document)
            elif isinstance(node, Header):
                cursor.open(node, document)
            elif isinstance(node, Include):
                cursor.meet(node)
                self._follow(document, node, cursor)
        self.chain.pop()

    def _follow(self, document: Document, include: Include, cursor: Cursor) -> None:
        """Read what a directive leads to, file by file; faults are noted the first time only."""
        place = document.place(include.target_span)
        if id(include) in self.followed:
            for path in self.followed[id(include)]:
                if path not in self._open_now() and self.count < INCLUSIONS_AT_MOST:
                    self._apply_included(path, place, cursor)
            return
        at = len(self.inclusions)
        files: list[str] = []
        for path in self._find(document, include, place):
            if self._admit(path, include.target, place):
                files.append(path)
                self._apply_included(path, place, cursor)
        self.followed[id(include)] = tuple(files)
        self.inclusions.insert(at, Inclusion(document.path, place, include, tuple(files)))

    def _find(self, document: Document, include: Include, place: Place) -> tuple[str, ...]:
        found = self.lookup.find(document.path, include)
        if found.kind == "include-missing":
            from cfgaudit.tree.nearest_path import nearest_path

            near = nearest_path(self.source, document.path, include.target)
            self._fault("include-missing", place, include.target, (), near)
        elif found.kind:
            self._fault(found.kind, place, include.target, (), found.detail)
        return found.files

    def _apply_included(self, path: str, place: Place, cursor: Cursor) -> None:
        self.count += 1
        self.apply(self.documents[path], cursor.inner(), place)

    def _open_now(self) -> list[str]:
        return [path for path, _ in self.chain]

    def _admit(self, path: str, target: str, place: Place) -> bool:
        """Whether a found file is to be followed; a fault where it is not, or is followed again."""
        if path in self._open_now():
            self._cycle(path, target, place)
            return False
        if not self._within_limits(target, place) or not self._load(path, target, place):
            return False
        if path in self.first:
            self._fault("include-twice", place, target, (self.first[path],), path)
        self.first.setdefault(path, place)
        return True

    def _cycle(self, path: str, target: str, place: Place) -> None:
        ring = self.chain[self._open_now().index(path) :]
        related = tuple(came_by for _, came_by in ring[1:] if came_by is not None)
        chain = " > ".join([*(one for one, _ in ring), path])
        self._fault("include-cycle", place, target, related, chain)

    def _within_limits(self, target: str, place: Place) -> bool:
        if len(self.chain) > DEPTH_AT_MOST:
            why = f"files include one another more than {DEPTH_AT_MOST} deep: include them from the main file"
            self._fault("include-unreadable", place, target, (), why)
            return False
        if self.count < INCLUSIONS_AT_MOST:
            return True
        if not self.full:
            why = f"more than {INCLUSIONS_AT_MOST} files are included, the rest is not read: include fewer"
            self._fault("include-unreadable", place, target, (), why)
            self.full = True
        return False

    def _load(self, path: str, target: str, place: Place) -> bool:
        """Whether the file is read and parsed, now or before."""
        if path not in self.documents:
            try:
                self.documents[path] = read_document(self.source, path, self.options)
            except OutsideRoot as error:
                self._fault("include-leaves-root", place, target, (), str(error))
            except MissingFile:
                self._fault("include-missing", place, target, (), "")
            except SourceError as error:
                self._fault("include-unreadable", place, target, (), str(error))
        return path in self.documents

    def _fault(self, kind: str, place: Place, target: str, related: tuple[Place, ...], detail: str) -> None:
        self.faults.append(TreeFault(kind, place, target, related, detail))

    def strangers(self) -> tuple[str, ...]:
        """Files that nothing includes. A main file that includes nothing says nothing about the others."""
        if len(self.documents) < 2:
            return ()
        from cfgaudit.tree.strangers import find_strangers

        return find_strangers(self.source, self.lookup, self.documents, self.options.traits)
