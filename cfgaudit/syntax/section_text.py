"""Which stretches of a document are one section's own: its header, its entries, and the comments of these."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from cfgaudit.syntax.document import Blank, Comment, Document, Entry, Header, Include, Node, Span, Unreadable
from cfgaudit.syntax.writing import after_mark


def own_nodes(document: Document, header: Header) -> list[Node]:
    """The nodes of the section that a header opens, in the order of the text.

    Those are the header, its entries, what stands between them, and comments directly above and below. A
    comment that touches a neighbour as well is the neighbour's, and so is the one that a file begins with.
    Directives that include files, and what another author wrote in between, are never the section's.
    """
    at = _place(document, header)
    below = list(_below(document.nodes, at, header))
    return [*_above(document, at, header), header, *below]


def own_spans(document: Document, header: Header) -> list[Span]:
    """The stretches of text that go if a section goes: its own, and the blank lines that set it off."""
    own = own_nodes(document, header)
    nodes = document.nodes
    last = max(index for index, node in enumerate(nodes) if node is own[-1])
    first = next(index for index, node in enumerate(nodes) if node is own[0])
    after = _blanks(nodes[last + 1 :])
    if len(list(_merged(document, [node.span for node in own]))) > 1:
        after = []
    elif last + 1 + len(after) == len(nodes):
        after = [*_blanks(nodes[:first][::-1]), *after]
    elif first and not isinstance(nodes[first - 1], Blank):
        after = []
    return list(_merged(document, [node.span for node in (*own, *after)]))


def section_lines(document: Document, header: Header) -> list[str] | None:
    """A section's own text, line by line; None where it is not in one piece."""
    own = own_nodes(document, header)
    spans = list(_merged(document, [node.span for node in own]))
    if len(spans) != 1:
        return None
    return lines_of(document, spans[0])


def comments_above(document: Document, node: Entry | Include) -> list[Comment]:
    """The comments that stand by themselves directly above a node; not the one that a file begins with."""
    found = touching_above(document, node)
    by_machine = isinstance(node, Entry) and node.author == "machine"
    return [] if by_machine or (found and found[0] is document.nodes[0]) else found


def touching_above(document: Document, node: Header | Entry | Include) -> list[Comment]:
    """The comments that stand by themselves directly above a node, whosever they are."""
    nodes = document.nodes
    at = first = _place(document, node)
    while first and _is_line_of_comment(nodes, first - 1):
        first -= 1
    return [one for one in nodes[first:at] if isinstance(one, Comment)]


def lines_of(document: Document, span: Span) -> list[str]:
    """The lines of a stretch that begins and ends with one, without line ends and byte-order mark."""
    text = document.text[max(span.start, after_mark(document)) : span.end]
    return [line.removesuffix("\r") for line in text.removesuffix("\n").split("\n")]


def _place(document: Document, wanted: Header | Entry | Include) -> int:
    for index, node in enumerate(document.nodes):
        if node is wanted or node == wanted:
            return index
    raise ValueError("what is sought is none of this document's")


def _above(document: Document, at: int, header: Header) -> list[Node]:
    """Comments directly above a header; a machine's block has none, only a banner."""
    nodes, first = document.nodes, at
    if header.author == "machine":
        return []
    while first and _is_line_of_comment(nodes, first - 1):
        first -= 1
    begins = first == 0
    return [] if begins or not isinstance(nodes[first - 1], Blank) else list(nodes[first:at])


def _is_line_of_comment(nodes: Sequence[Node], at: int) -> bool:
    """Whether a node is a comment that stands by itself, in no value of several lines."""
    node = nodes[at]
    if not isinstance(node, Comment) or node.inline:
        return False
    while at and isinstance(nodes[at - 1], Comment):
        at -= 1
    return not at or node.span.start >= nodes[at - 1].span.end


def _below(nodes: Sequence[Node], at: int, header: Header) -> Iterator[Node]:
    """What follows a header and is its section's own."""
    waiting: list[Node] = []
    end, broken = header.span.end, False
    for node in nodes[at + 1 :]:
        if _opens_another(node, header):
            break
        if node.span.start < end or (isinstance(node, Comment) and node.inline):
            continue
        if isinstance(node, Entry) and node.author == header.author:
            yield from () if broken else waiting
            yield node
            waiting, broken, end = [], False, node.span.end
        elif isinstance(node, Blank | Comment | Unreadable):
            waiting.append(node)
        else:
            waiting.append(node)
            broken = True
    yield from _tail(nodes, waiting)


def _opens_another(node: Node, header: Header) -> bool:
    if isinstance(node, Header):
        return node.author == header.author
    return isinstance(node, Include) and node.header is not None


def _tail(nodes: Sequence[Node], waiting: Sequence[Node]) -> list[Node]:
    """Comments directly below the last entry, unless what follows touches them too."""
    tail: list[Node] = []
    for node in waiting:
        if not isinstance(node, Comment):
            return tail if isinstance(node, Blank) else []
        tail.append(node)
    return tail if not tail or tail[-1] is nodes[-1] else []


def _blanks(nodes: Sequence[Node]) -> list[Node]:
    found: list[Node] = []
    for node in nodes:
        if not isinstance(node, Blank):
            break
        found.append(node)
    return found


def _merged(document: Document, spans: Sequence[Span]) -> Iterator[Span]:
    """Stretches in the order of the text, those that touch or overlap as one; a byte-order mark stays."""
    start = end = -1
    for span in sorted(spans):
        begin = max(span.start, after_mark(document))
        if begin <= end:
            end = max(end, span.end)
            continue
        if start >= 0:
            yield Span(start, end)
        start, end = begin, span.end
    if start >= 0:
        yield Span(start, end)
