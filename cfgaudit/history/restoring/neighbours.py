"""What an old entry stood between, and what a section can stand between, in a file as it is today."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from cfgaudit.history.comparing.written import key_of_name
from cfgaudit.syntax.document import Blank, Comment, Document, Entry, Header, Include, Node
from cfgaudit.syntax.edits import members
from cfgaudit.syntax.section_text import comments_above, own_nodes, touching_above

Fixed = Entry | Include
"""What tells where others stand."""


class Spot(NamedTuple):
    """Where an entry goes: behind a node, or above one; the last of its section where both are None."""

    after: Fixed | Header | None = None
    above: Node | None = None
    """What it stood closer to than to what it goes behind, or what there is where it goes behind nothing."""


class Stretch(NamedTuple):
    """A section in one file: what stands below a header, or above all of them."""

    document: Document
    header: Header | None

    def fixed(self) -> list[Fixed]:
        return [one for one in members(self.document, self.header) if isinstance(one, Entry | Include)]


def spot_of(entry: Entry, then: Stretch, now: Stretch, *, counted: bool) -> Spot:
    """Behind the nearest above the entry that is still there, else behind the header; above all headers, and
    where it stood closer to that, above the nearest below it.

    ``counted`` says whether it was the entry's value that counted where its key stands more than once.
    """
    ours = now.fixed()
    alike = [rank for rank, one in enumerate(ours) if _word(one) == _word(entry)]
    if alike and counted:
        return Spot(ours[alike[-1]])
    if alike and (alike[0] or now.header):
        return Spot(ours[alike[0] - 1] if alike[0] else now.header)
    if alike:
        return Spot(above=_top(now.document, ours[0]))
    here = {_word(one): rank for rank, one in enumerate(ours)}
    known = [one for one in then.fixed() if _word(one) in here]
    over = [one for one in known if one.span.start < entry.span.start]
    under = [one for one in known if one.span.start > entry.span.start]
    rank = here[_word(over[-1])] if over else -1
    after = ours[rank] if over else now.header
    if not under:
        return Spot(after)
    below = ours[here[_word(under[0])]]
    adjoining = ours[rank + 1 : rank + 2] == [below]
    blank = _set_off(then, over[-1] if over else then.header, entry), _set_off(then, entry, under[0])
    if after is not None and not (adjoining and blank == (True, False)):
        return Spot(after)
    return Spot(after, top_of(now.document, below, then.document, under[0]))


def top_of(document: Document, node: Fixed | Header, then: Document, old: Fixed | Header) -> Node:
    """What a node of today begins with, its comments included: those that it had, though the file may begin
    with them today."""
    touching = touching_above(document, node)
    had = [one.text for one in _own_comments(then, old)]
    if had and had == [one.text for one in touching[-len(had) :]]:
        return touching[-len(had)]
    return _top(document, node)


def _top(document: Document, node: Fixed | Header) -> Node:
    return next(iter(_own_comments(document, node)), node)


def _own_comments(document: Document, node: Fixed | Header) -> list[Comment]:
    if not isinstance(node, Header):
        return comments_above(document, node)
    own = own_nodes(document, node)
    return [one for one in own[: own.index(node)] if isinstance(one, Comment)]


def between_sections(document: Document) -> Iterator[Include]:
    """The directives after which no entry of their section follows: a section can begin there."""
    last: Node | None = None
    for node in document.nodes:
        if isinstance(node, Blank | Comment):
            continue
        if isinstance(last, Include) and isinstance(node, Header | Include):
            yield last
        last = node
    if isinstance(last, Include):
        yield last


def _word(node: Fixed) -> tuple[str, str]:
    """What tells one entry or directive of a section from the others."""
    return ("", key_of_name(node.key)) if isinstance(node, Entry) else ("include", node.target)


def _set_off(part: Stretch, one: Node | None, other: Node) -> bool:
    """Whether a blank line stands between two nodes; without the first, above the second."""
    start = one.span.end if one is not None else 0
    nodes: Sequence[Node] = part.document.nodes
    return any(isinstance(node, Blank) and start <= node.span.start < other.span.start for node in nodes)
