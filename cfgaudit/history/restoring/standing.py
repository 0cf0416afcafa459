"""How an entry stood in its section: its lines, and the comments above it that went with it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from cfgaudit.syntax.document import Comment, Document, Entry, Header, Include, Node, Span
from cfgaudit.syntax.edits import members
from cfgaudit.syntax.section_text import comments_above, lines_of
from cfgaudit.tree.config_tree import Occurrence


class Standing(NamedTuple):
    """An old entry, and the section of today's ``document`` that it goes into."""

    one: Occurrence
    document: Document
    header: Header | None

    def lines(self) -> Sequence[str]:
        """Its lines, with the comments above it unless they are still there."""
        entry, above = self.one.entry, self._above()
        start = above[0].span.start if above and not self._stay() else entry.span.start
        return lines_of(self.one.document, Span(start, entry.span.end))

    def below(self, neighbour: Entry | Include | Header | None) -> Node | None:
        """What it goes behind: its neighbour, or its comments if these still stand below that."""
        if not self._above() or not self._stay():
            return neighbour
        nodes = members(self.document, self.header)
        if isinstance(neighbour, Entry | Include):
            nodes = nodes[nodes.index(neighbour) + 1 :]
        upto = next((rank for rank, node in enumerate(nodes) if isinstance(node, Entry)), len(nodes))
        return next(self._found_in(nodes[:upto]), neighbour)

    def _above(self) -> list[Comment]:
        return comments_above(self.one.document, self.one.entry)

    def _stay(self) -> bool:
        """Whether the section has these comments as often as it had."""
        old = members(self.one.document, header_of(self.one.document, self.one.entry))
        return _count(self._found_in(members(self.document, self.header))) >= _count(self._found_in(old))

    def _found_in(self, nodes: Sequence[Node]) -> Iterator[Node]:
        """The last comment of each place where the comments stand one below the other."""
        wanted = [one.text for one in self._above()]
        for rank in range(len(nodes) - len(wanted) + 1):
            run = nodes[rank : rank + len(wanted)]
            if [one.text for one in run if isinstance(one, Comment) and not one.inline] == wanted:
                yield run[-1]


def header_of(document: Document, entry: Entry) -> Header | None:
    """The header that an entry stands below; None above all of them."""
    found: Header | None = None
    for node in document.nodes:
        if node.span.start >= entry.span.start:
            break
        if isinstance(node, Header) and node.author == entry.author:
            found = node
    return found


def _count(found: Iterator[Node]) -> int:
    return sum(1 for _ in found)
