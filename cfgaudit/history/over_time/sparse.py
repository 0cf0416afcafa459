"""Parsing for one setting: the headers and includes of a file, and only those entries that are asked for."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from cfgaudit.history.over_time.passages import PassageReader, setting_key
from cfgaudit.syntax.dialect import Traits
from cfgaudit.syntax.document import Dialect, Document, Entry, Header, Include, Node, Span
from cfgaudit.syntax.parse import parse
from cfgaudit.syntax.piecewise import Cut, Piece, Spelling

KEPT = 500
"""Documents that are kept at a time."""


class SparseParser:
    """A parser whose documents hold what decides where the wanted entries count, and these.

    Everything in them is as in the whole document, places too; what is missing are other entries, comments
    and blank lines. ``wants`` is asked by an entry's folded key.
    """

    def __init__(self, reader: PassageReader, wants: Callable[[str], bool]) -> None:
        self._reader = reader
        self._wants = wants
        self._nodes: dict[tuple[int, Spelling], Sequence[Node]] = {}
        self._documents: dict[tuple[bytes, str], Document] = {}

    def __call__(self, data: bytes, path: str, traits: Traits) -> Document:
        key = (data, path)
        if key not in self._documents:
            if len(self._documents) >= KEPT:
                del self._documents[next(iter(self._documents))]
            cut = self._reader.cut(data, path)
            self._documents[key] = (
                parse(data, path, traits) if cut is None else self._document(cut, path, traits)
            )
        return self._documents[key]

    def _document(self, cut: Cut, path: str, traits: Traits) -> Document:
        text = cut.text
        nodes = tuple(self._shifted(cut, traits))
        return Document(path, text, nodes, Dialect(), _line_starts(text))

    def _shifted(self, cut: Cut, traits: Traits) -> Iterator[Node]:
        start = 0
        for piece in cut.pieces:
            for node in self._sparse(piece, cut.spelling, traits):
                yield shifted(node, start)
            start += len(piece.text)

    def _sparse(self, piece: Piece, spelling: Spelling, traits: Traits) -> Sequence[Node]:
        key = (id(piece), spelling)
        if key not in self._nodes:
            nodes = piece.nodes(spelling, traits)
            self._nodes[key] = [node for node in nodes if self._matters(node)]
        return self._nodes[key]

    def _matters(self, node: Node) -> bool:
        if isinstance(node, Entry):
            return self._wants(setting_key(node.key))
        return isinstance(node, (Header, Include))


def shifted(node: Node, by: int) -> Node:
    """A header, include or entry, so many characters further down."""
    if isinstance(node, Entry):
        spans = tuple(_moved(one, by) for one in node.value_spans)
        return node._replace(
            span=_moved(node.span, by), key_span=_moved(node.key_span, by), value_spans=spans
        )
    if isinstance(node, Header):
        return _header(node, by)
    if isinstance(node, Include):
        header = node.header and _header(node.header, by)
        return node._replace(
            span=_moved(node.span, by), target_span=_moved(node.target_span, by), header=header
        )
    return node._replace(span=_moved(node.span, by))


def _header(header: Header, by: int) -> Header:
    return header._replace(span=_moved(header.span, by), name_span=_moved(header.name_span, by))


def _moved(span: Span, by: int) -> Span:
    return Span(span.start + by, span.end + by)


def _line_starts(text: str) -> tuple[int, ...]:
    starts = [0]
    at = text.find("\n")
    while at >= 0:
        starts.append(at + 1)
        at = text.find("\n", at + 1)
    return tuple(starts)
